package xapi

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"time"
)

// Validate checks a statement, as JSON, against the rules of the standard that
// a record store enforces (xAPI 1.0.3 part two, section 2 and 4; from memory):
// no property that is unknown, null or of the wrong type; the id a UUID; one
// and only one way to name the actor; IRIs absolute; language maps keyed by
// language tags; scaled from -1 to 1 and raw between min and max; the duration
// ISO 8601; the timestamp RFC 3339 with a zone; the registration a UUID;
// extension keys IRIs. All faults are returned.
func Validate(data []byte) error {
	var faults []error
	bad := func(format string, values ...any) { faults = append(faults, fmt.Errorf(format, values...)) }
	var root map[string]any
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(&root); err != nil {
		return fmt.Errorf("not a JSON object: %w", err)
	}
	if d.More() {
		bad("more than one value")
	}
	nulls("statement", root, bad)
	only("statement", root, bad, "id", "actor", "verb", "object", "result", "context", "timestamp", "stored", "authority", "version", "attachments")
	for _, needed := range []string{"actor", "verb", "object"} {
		if root[needed] == nil {
			bad("%s is missing", needed)
		}
	}
	if id, ok := root["id"].(string); !ok || !uuidForm.MatchString(id) {
		bad("id %v is no UUID", root["id"])
	}
	actor(part(root, "actor", bad), bad)
	verb := part(root, "verb", bad)
	only("verb", verb, bad, "id", "display")
	iri("verb.id", verb["id"], bad)
	language("verb.display", verb["display"], bad)
	activity("object", part(root, "object", bad), bad)
	if root["result"] != nil {
		result(part(root, "result", bad), bad)
	}
	if root["context"] != nil {
		surroundings(part(root, "context", bad), bad)
	}
	if text, ok := root["timestamp"].(string); !ok {
		bad("timestamp is missing or no text")
	} else if _, err := time.Parse(time.RFC3339Nano, text); err != nil {
		bad("timestamp %q is no RFC 3339 time", text)
	}
	return errors.Join(faults...)
}

var (
	uuidForm     = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-[1-5][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)
	durationForm = regexp.MustCompile(`^P(\d+Y)?(\d+M)?(\d+D)?(T(\d+H)?(\d+M)?(\d+(\.\d+)?S)?)?$`)
	tagForm      = regexp.MustCompile(`^[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*$`)
)

type complain func(format string, values ...any)

func part(m map[string]any, key string, bad complain) map[string]any {
	p, ok := m[key].(map[string]any)
	if !ok {
		bad("%s is no object", key)
	}
	return p
}

func only(what string, m map[string]any, bad complain, known ...string) {
	for key := range m {
		if !slices.Contains(known, key) {
			bad("%s has the unknown property %q", what, key)
		}
	}
}

// nulls finds nulls, which the standard forbids outside extensions.
func nulls(what string, v any, bad complain) {
	switch v := v.(type) {
	case nil:
		bad("%s is null", what)
	case map[string]any:
		for key, inner := range v {
			if key != "extensions" {
				nulls(what+"."+key, inner, bad)
			}
		}
	case []any:
		for _, inner := range v {
			nulls(what, inner, bad)
		}
	}
}

func iri(what string, v any, bad complain) {
	text, ok := v.(string)
	u, err := url.Parse(text)
	if !ok || err != nil || u.Scheme == "" || u.Host == "" && u.Opaque == "" || strings.ContainsAny(text, " <>\"{}|\\^`") {
		bad("%s %v is no absolute IRI", what, v)
	}
}

func language(what string, v any, bad complain) {
	m, ok := v.(map[string]any)
	if !ok || len(m) == 0 {
		bad("%s is no language map", what)
		return
	}
	for tag, text := range m {
		if _, isText := text.(string); !isText || !tagForm.MatchString(tag) {
			bad("%s: %q is no language with its text", what, tag)
		}
	}
}

func actor(a map[string]any, bad complain) {
	only("actor", a, bad, "objectType", "name", "mbox", "mbox_sha1sum", "openid", "account")
	ways := 0
	for _, way := range []string{"mbox", "mbox_sha1sum", "openid", "account"} {
		if a[way] != nil {
			ways++
		}
	}
	if ways != 1 {
		bad("actor is named in %d ways, exactly one is allowed", ways)
	}
	if t := a["objectType"]; t != nil && t != "Agent" {
		bad("actor.objectType is %v", t)
	}
	if a["account"] != nil {
		account := part(a, "account", bad)
		only("actor.account", account, bad, "homePage", "name")
		iri("actor.account.homePage", account["homePage"], bad)
		if name, ok := account["name"].(string); !ok || name == "" {
			bad("actor.account.name is missing")
		}
	}
}

func activity(what string, a map[string]any, bad complain) {
	only(what, a, bad, "objectType", "id", "definition")
	if t := a["objectType"]; t != nil && t != "Activity" {
		bad("%s.objectType is %v", what, t)
	}
	iri(what+".id", a["id"], bad)
	if a["definition"] == nil {
		return
	}
	d := part(a, "definition", bad)
	only(what+".definition", d, bad, "name", "description", "type", "moreInfo", "extensions", "interactionType", "correctResponsesPattern", "choices", "scale", "source", "target", "steps")
	for _, key := range []string{"name", "description"} {
		if d[key] != nil {
			language(what+".definition."+key, d[key], bad)
		}
	}
	if d["type"] != nil {
		iri(what+".definition.type", d["type"], bad)
	}
}

func result(r map[string]any, bad complain) {
	only("result", r, bad, "score", "success", "completion", "response", "duration", "extensions")
	for _, key := range []string{"success", "completion"} {
		if _, ok := r[key].(bool); r[key] != nil && !ok {
			bad("result.%s is no truth value", key)
		}
	}
	if text, ok := r["duration"].(string); r["duration"] != nil && (!ok || !durationForm.MatchString(text) || text == "P" || strings.HasSuffix(text, "T")) {
		bad("result.duration %v is not ISO 8601", r["duration"])
	}
	extensions("result", r["extensions"], bad)
	if r["score"] == nil {
		return
	}
	s := part(r, "score", bad)
	only("result.score", s, bad, "scaled", "raw", "min", "max")
	for key, v := range s {
		if _, ok := v.(float64); !ok {
			bad("result.score.%s is no number", key)
		}
	}
	if x, ok := s["scaled"].(float64); ok && (x < -1 || x > 1) {
		bad("result.score.scaled %g is outside -1 to 1", x)
	}
	raw, hasRaw := s["raw"].(float64)
	low, hasLow := s["min"].(float64)
	high, hasHigh := s["max"].(float64)
	if hasLow && hasHigh && low >= high || hasRaw && hasLow && raw < low || hasRaw && hasHigh && raw > high {
		bad("result.score: raw %v is not between min %v and max %v", s["raw"], s["min"], s["max"])
	}
}

func surroundings(c map[string]any, bad complain) {
	only("context", c, bad, "registration", "instructor", "team", "contextActivities", "revision", "platform", "language", "statement", "extensions", "contextAgents", "contextGroups")
	if id, ok := c["registration"].(string); c["registration"] != nil && (!ok || !uuidForm.MatchString(id)) {
		bad("context.registration %v is no UUID", c["registration"])
	}
	if tag, ok := c["language"].(string); c["language"] != nil && (!ok || !tagForm.MatchString(tag)) {
		bad("context.language %v is no language tag", c["language"])
	}
	extensions("context", c["extensions"], bad)
	if c["contextActivities"] == nil {
		return
	}
	all := part(c, "contextActivities", bad)
	only("context.contextActivities", all, bad, "parent", "grouping", "category", "other")
	for key, v := range all {
		list, ok := v.([]any)
		if !ok {
			list = []any{v}
		}
		for _, a := range list {
			if m, ok := a.(map[string]any); ok {
				activity("context.contextActivities."+key, m, bad)
			} else {
				bad("context.contextActivities.%s holds no activity", key)
			}
		}
	}
}

func extensions(what string, v any, bad complain) {
	if v == nil {
		return
	}
	m, ok := v.(map[string]any)
	if !ok {
		bad("%s.extensions is no object", what)
	}
	for key := range m {
		iri(what+".extensions key", key, bad)
	}
}
