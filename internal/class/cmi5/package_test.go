package cmi5

import (
	"archive/zip"
	"bytes"
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
		if err := Write(&out, e, files); err != nil {
			t.Fatal(err)
		}
		if err := Validate(out.Bytes()); err != nil {
			t.Errorf("%s: %v", e.ID, err)
		}
	}
}

func TestTheRulesRefuse(t *testing.T) {
	files, err := webbench.PageFiles(assets.Web())
	if err != nil {
		t.Fatal(err)
	}
	var good bytes.Buffer
	if err := Write(&good, scenarios.Shipped()[0], files); err != nil {
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
