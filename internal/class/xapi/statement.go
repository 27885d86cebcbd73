// Package xapi tells learning record stores what happened in a class, as
// statements of IEEE 9274.1.1 (xAPI): attempts begun, passed or failed.
//
// Trainees appear under an account name that only this server can turn into a
// person. A statement's id follows from the attempt and the verb, so that
// sending it twice makes no second record.
//
// Source: IEEE 9274.1.1-2023 and the xAPI 1.0.3 specification, part two, from
// memory; the rules that Validate holds statements to are listed there.
package xapi

import (
	"crypto/sha1"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"time"
)

// Version is sent with every request.
const Version = "2.0.0"

// The verbs used. The first four are those of the ADL vocabulary that cmi5
// uses as well.
var verbs = map[string]string{
	"initialized": "http://adlnet.gov/expapi/verbs/initialized",
	"passed":      "http://adlnet.gov/expapi/verbs/passed",
	"failed":      "http://adlnet.gov/expapi/verbs/failed",
	"completed":   "http://adlnet.gov/expapi/verbs/completed",
}

// Statement is one statement, with the parts that are used here.
type Statement struct {
	ID        string   `json:"id"`
	Actor     Actor    `json:"actor"`
	Verb      Verb     `json:"verb"`
	Object    Activity `json:"object"`
	Result    *Result  `json:"result,omitempty"`
	Context   Context  `json:"context"`
	Timestamp string   `json:"timestamp"`
}

// Actor is who did it.
type Actor struct {
	ObjectType string  `json:"objectType"`
	Account    Account `json:"account"`
}

// Account names an actor within one system.
type Account struct {
	HomePage string `json:"homePage"`
	Name     string `json:"name"`
}

// Verb is what they did.
type Verb struct {
	ID      string            `json:"id"`
	Display map[string]string `json:"display"`
}

// Activity is what they did it to.
type Activity struct {
	ObjectType string     `json:"objectType"`
	ID         string     `json:"id"`
	Definition Definition `json:"definition"`
}

// Definition describes an activity.
type Definition struct {
	Type        string            `json:"type,omitempty"`
	Name        map[string]string `json:"name"`
	Description map[string]string `json:"description,omitempty"`
}

// Result is how it went.
type Result struct {
	Score      *Score                     `json:"score,omitempty"`
	Success    *bool                      `json:"success,omitempty"`
	Completion *bool                      `json:"completion,omitempty"`
	Duration   string                     `json:"duration,omitempty"`
	Extensions map[string]json.RawMessage `json:"extensions,omitempty"`
}

// Score is the technique score; Scaled is Raw over Max.
type Score struct {
	Scaled float64 `json:"scaled"`
	Raw    float64 `json:"raw"`
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
}

// Context is what it belongs to.
type Context struct {
	Registration string             `json:"registration"`
	Platform     string             `json:"platform"`
	Language     string             `json:"language"`
	Activities   *ContextActivities `json:"contextActivities,omitempty"`
}

// ContextActivities are what the activity is part of.
type ContextActivities struct {
	Grouping []Activity `json:"grouping,omitempty"`
}

// Attempt is what statements tell of.
type Attempt struct {
	Home               string // address of this server, an absolute IRI without a final slash
	ID, Trainee, Class string
	Exercise, Title    string
	Summary            string
	At                 time.Time
	Lasted             time.Duration
	Technique          float64
	Passed             bool
	Findings           []string // ids of checks
}

// Begun tells that an attempt was begun.
func (a Attempt) Begun() Statement { return a.statement("initialized", nil) }

// Ended tells how an attempt ended.
func (a Attempt) Ended() Statement {
	done := true
	verb := "failed"
	if a.Passed {
		verb = "passed"
	}
	found := a.Findings
	if found == nil {
		found = []string{}
	}
	list, _ := json.Marshal(found) // strings always marshal
	return a.statement(verb, &Result{
		Score:   &Score{Scaled: a.Technique / 100, Raw: a.Technique, Max: 100},
		Success: &a.Passed, Completion: &done, Duration: Duration(a.Lasted),
		Extensions: map[string]json.RawMessage{a.Home + "/xapi/findings": list},
	})
}

func (a Attempt) statement(verb string, r *Result) Statement {
	words := func(s string) map[string]string { return map[string]string{"en": s} }
	s := Statement{
		ID:    UUID(a.Home + " " + a.ID + " " + verb),
		Actor: Actor{"Agent", Account{a.Home, a.Trainee}},
		Verb:  Verb{verbs[verb], words(verb)},
		Object: Activity{"Activity", a.Home + "/exercise/" + a.Exercise, Definition{
			Type: "http://adlnet.gov/expapi/activities/simulation", Name: words(a.Title),
		}},
		Result: r,
		Context: Context{
			Registration: UUID(a.Home + " " + a.ID), Platform: "Foilwright", Language: "en",
			Activities: &ContextActivities{Grouping: []Activity{{"Activity", a.Home + "/class/" + a.Class, Definition{Name: words("class")}}}},
		},
		Timestamp: a.At.UTC().Format("2006-01-02T15:04:05.000Z"),
	}
	if a.Summary != "" {
		s.Object.Definition.Description = words(a.Summary)
	}
	return s
}

// UUID is a name-based identifier: version 5 of RFC 4122 in the URL name space.
func UUID(name string) string {
	space, _ := hex.DecodeString("6ba7b8119dad11d180b400c04fd430c8")
	h := sha1.New()
	h.Write(space)
	h.Write([]byte(name))
	b := h.Sum(nil)[:16]
	b[6] = b[6]&0x0f | 0x50
	b[8] = b[8]&0x3f | 0x80
	x := hex.EncodeToString(b)
	return strings.Join([]string{x[:8], x[8:12], x[12:16], x[16:20], x[20:]}, "-")
}

// Duration writes a duration by ISO 8601, in seconds to the hundredth, which is
// the precision that is compared.
func Duration(d time.Duration) string {
	return fmt.Sprintf("PT%.2fS", max(d, 0).Seconds())
}
