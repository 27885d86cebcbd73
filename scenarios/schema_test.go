package scenarios

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v3"

	"foilwright/sim/bench"
	"foilwright/sim/part"
	"foilwright/sim/probe"
)

// schemaAccepts reports what the published schema makes of a YAML text.
func schemaAccepts(t testing.TB, schema *jsonschema.Schema, text []byte) bool {
	t.Helper()
	var v any
	if yaml.Unmarshal(text, &v) != nil {
		return false
	}
	b, err := json.Marshal(v)
	if err != nil {
		return false
	}
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(b)))
	return err == nil && schema.Validate(doc) == nil
}

func compileSchema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	schema, err := jsonschema.NewCompiler().Compile("exercise.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

// The loader and the schema for editors must agree on every file.
func TestSchemaAndLoaderAgree(t *testing.T) {
	schema := compileSchema(t)
	names, err := filepath.Glob("*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal("no exercises", err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !schemaAccepts(t, schema, text) {
			t.Errorf("%s: the schema refuses a shipped exercise", name)
		}
		if name != "painted-panel.yaml" {
			continue // the corpus has every field
		}
		// Change one line at a time in ways that break most of them.
		lines := strings.Split(string(text), "\n")
		accepted, refused := 0, 0
		for i, line := range lines {
			key, value, ok := strings.Cut(line, ":")
			if !ok || strings.HasPrefix(strings.TrimSpace(line), "#") || strings.TrimSpace(value) == "" {
				continue
			}
			for _, change := range []string{"", key + "x:" + value, key + ": -3", key + ": [1, 2]", key + ": word", key + ": 2"} {
				bad := strings.Join(append(append(append([]string(nil), lines[:i]...), change), lines[i+1:]...), "\n")
				bySchema := schemaAccepts(t, schema, []byte(bad))
				_, err := Load("bad.yaml", []byte(bad))
				// The loader alone checks that fields agree with each other.
				if byLoader := err == nil; byLoader && !bySchema || bySchema && !byLoader && !agreementOnly(err) {
					t.Errorf("%s, line %d as %q: schema says %v, loader says %v", name, i+1, change, bySchema, err)
				}
				if bySchema {
					accepted++
				} else {
					refused++
				}
			}
		}
		if accepted == 0 || refused < 100 {
			t.Errorf("%s: %d changes accepted, %d refused: they do not test much", name, accepted, refused)
		}
	}
}

// agreementOnly reports faults that a schema cannot express.
func agreementOnly(err error) bool {
	for _, f := range err.(Faults) {
		ok := false
		for _, what := range []string{"two pieces", "two foils", "band of forces", "the rule cannot be used", "named twice", "thicker than the probe", "beyond the part", "more than once round", "no coating", "runs backwards", "do not belong together", "the tip is worn", "soft coating", "the job takes at least"} {
			ok = ok || strings.Contains(f.What, what)
		}
		if !ok {
			return false
		}
	}
	return true
}

// What the schema offers for completion is what the program knows.
func TestSchemaListsWhatTheProgramKnows(t *testing.T) {
	text, err := os.ReadFile("exercise.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var s struct {
		Properties struct {
			Other struct {
				Items struct{ Enum []string }
			} `json:"other_probes"`
			Probe  struct{ Enum []string }
			Limits struct {
				Properties map[string]struct {
					Type, Description string
					Minimum, Maximum  float64
				}
			}
			Chapter  struct{ Enum []string }
			Mistakes struct {
				Items struct {
					Properties struct{ Check struct{ Enum []string } }
				}
			} `json:"typical_mistakes"`
		}
		Defs struct {
			Metal struct{ Enum []string }
		} `json:"$defs"`
	}
	if err := json.Unmarshal(text, &s); err != nil {
		t.Fatal(err)
	}
	thresholds := bench.Thresholds()
	if got := s.Properties.Limits.Properties; len(got) != len(thresholds) {
		t.Errorf("%d limits in the schema, %d in the program", len(got), len(thresholds))
	}
	for _, want := range thresholds {
		got, kind := s.Properties.Limits.Properties[want.Key], "number"
		if want.IsWhole() {
			kind = "integer"
		}
		if got.Type != kind || got.Minimum != want.Low || got.Maximum != want.High || !strings.HasPrefix(got.Description, want.Text) {
			t.Errorf("limit %s: schema %+v, program %s", want.Key, got, want.Text)
		}
	}
	var probes, metals []string
	for _, p := range probe.Designs() {
		probes = append(probes, p.ID)
	}
	for _, m := range part.Metals {
		metals = append(metals, m.ID)
	}
	for _, c := range []struct {
		what      string
		got, want []string
	}{
		{"probes", s.Properties.Probe.Enum, probes},
		{"other probes", s.Properties.Other.Items.Enum, probes},
		{"metals", s.Defs.Metal.Enum, metals},
		{"chapters", s.Properties.Chapter.Enum, chapterIDs()},
		{"checks", s.Properties.Mistakes.Items.Properties.Check.Enum, checkIDs()},
	} {
		if got, want := strings.Join(c.got, " "), strings.Join(c.want, " "); got != want {
			t.Errorf("%s: schema %q, program %q", c.what, got, want)
		}
	}
}
