package cmi5

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"testing"

	"foilwright/assets"
	"foilwright/internal/webbench"
	"foilwright/scenarios"
)

func TestPackagesOfAllExercisesKeepTheRules(t *testing.T) {
	files, err := webbench.PageFiles(assets.Web())
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range scenarios.Shipped() {
		var out bytes.Buffer
		if err := Write(&out, e, nil, files); err != nil {
			t.Fatal(err)
		}
		if err := Validate(out.Bytes()); err != nil {
			t.Errorf("%s: %v", e.ID, err)
		}
	}
}

// An exercise of one's own, with the shelf it takes from, travels with the
// bench: before the bench is loaded, its text is there, whole.
func TestAPackageOfOnesOwnExercise(t *testing.T) {
	files, err := webbench.PageFiles(assets.Web())
	if err != nil {
		t.Fatal(err)
	}
	text, err := scenarios.TextOf("primer-window")
	if err != nil {
		t.Fatal(err)
	}
	text.Source = strings.Replace(text.Source, "\nid: primer-window\n", "\nid: own-primer\n# </script> \u2028\n", 1)
	e, err := text.Load("own.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := Write(&out, e, &text, files); err != nil {
		t.Fatal(err)
	}
	if err := Validate(out.Bytes()); err != nil {
		t.Error(err)
	}
	z, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	if err != nil {
		t.Fatal(err)
	}
	read := func(name string) string {
		f, err := z.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		content, err := io.ReadAll(f)
		if err != nil {
			t.Fatal(err)
		}
		return string(content)
	}
	if page := read("index.html"); !strings.Contains(page, `<script src="cmi5.js"></script>
<script src="exercise.js"></script>
<script src="load.js"></script>`) {
		t.Errorf("the page does not load the exercise before the bench: %s", page)
	}
	if structure := read("cmi5.xml"); !strings.Contains(structure, "own-primer") || !strings.Contains(structure, e.Digest[:16]) {
		t.Errorf("the course is of another exercise: %s", structure)
	}
	script := read("exercise.js")
	_, brought, found := strings.Cut(script, "window.foilwrightExercise = ")
	if !found || strings.Contains(script, "</script>") || strings.Contains(script, "\u2028") {
		t.Fatalf("the script: %.200s", script)
	}
	var again scenarios.Text
	if err := json.Unmarshal([]byte(strings.TrimSuffix(brought, ";\n")), &again); err != nil {
		t.Fatal(err)
	}
	if got, err := again.Load("own.yaml"); err != nil || got.Digest != e.Digest {
		t.Errorf("the bench would be given another exercise: %v", err)
	}
}

func TestTheRulesRefuse(t *testing.T) {
	files, err := webbench.PageFiles(assets.Web())
	if err != nil {
		t.Fatal(err)
	}
	var good bytes.Buffer
	if err := Write(&good, scenarios.Shipped()[0], nil, files); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string][2]string{
		"namespace":      {namespace, "http://example.org/"},
		"move on":        {`moveOn="Passed"`, `moveOn="Later"`},
		"mastery":        {`masteryScore="0`, `masteryScore="7`},
		"launch method":  {`launchMethod="AnyWindow"`, `launchMethod="Tab"`},
		"missing file":   {"<url>index.html", "<url>start.html"},
		"reserved":       {"?exercise=", "?registration=1&amp;exercise="},
		"no language":    {`lang="en"`, `long="en"`},
		"id no IRI":      {`<au id="urn:`, `<au id="/urn:`},
		"order":          {"<au ", "<au><url>x</url></au><au "},
		"other id twice": {":course\"", "\""},
	} {
		z, err := zip.NewReader(bytes.NewReader(good.Bytes()), int64(good.Len()))
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		to := zip.NewWriter(&out)
		for _, f := range z.File {
			r, err := f.Open()
			if err != nil {
				t.Fatal(err)
			}
			content, err := io.ReadAll(r)
			if err != nil {
				t.Fatal(err)
			}
			if f.Name == "cmi5.xml" {
				changed := strings.ReplaceAll(string(content), change[0], change[1])
				if changed == string(content) {
					t.Errorf("%s: the change changes nothing", name)
				}
				content = []byte(changed)
			}
			w, err := to.Create(f.Name)
			if err != nil {
				t.Fatal(err)
			}
			w.Write(content)
		}
		to.Close()
		if Validate(out.Bytes()) == nil {
			t.Errorf("%s is taken", name)
		}
	}
}
