package gather

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"foilwright/internal/archtest"
	"foilwright/internal/say"
)

func repository(t *testing.T) (root string, found *Found) {
	t.Helper()
	root, err := archtest.FindRoot(".")
	if err != nil {
		t.Fatal(err)
	}
	found, err = Read(root)
	if err != nil {
		t.Fatal(err)
	}
	return root, found
}

// Nothing a trainee sees goes past the tables, the template has all of it, and every language has it too.
func TestEveryWordIsInTheTables(t *testing.T) {
	root, found := repository(t)
	if len(found.Entries) < 500 {
		t.Fatalf("%d texts were found; the code is not read", len(found.Entries))
	}
	for _, f := range found.Faults {
		t.Error(f)
	}
	have, err := os.ReadFile(filepath.Join(root, TemplateFile))
	if err != nil {
		t.Fatal(err)
	}
	if string(have) != Template(found.Entries) {
		t.Errorf("%s is not up to date: go generate ./internal/say, and read what moved", TemplateFile)
	}
	for _, l := range say.Languages()[1:] {
		t.Run(l.Code, func(t *testing.T) { checkLanguage(t, l.Code, found.Entries) })
	}
}

// checkLanguage holds a language against the texts of the code: all are there, with the same placeholders and the same
// spaces at the ends, and none that the code has not.
func checkLanguage(t *testing.T, code string, entries []Entry) {
	table, err := say.Table(code)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		forms, ok := table[e.One]
		if !ok {
			t.Errorf("%q is missing", e.One)
			continue
		}
		delete(table, e.One)
		for i, s := range forms {
			same := e.One
			if i > 0 {
				same = e.Many
			}
			if fault := unlike(same, s); fault != "" {
				t.Errorf("%q: %s: %q", e.One, fault, s)
			}
		}
		if e.Many == "" && len(forms) != 1 {
			t.Errorf("%q has %d forms", e.One, len(forms))
		}
	}
	for s := range table {
		t.Errorf("%q is not in the code", s)
	}
}

// unlike tells in what a translation differs from its text though it must not.
func unlike(text, translated string) string {
	switch {
	case strings.TrimSpace(translated) == "":
		return "it is empty"
	case !slices.Equal(bare(text), bare(translated)):
		return "it has other placeholders"
	case strings.HasPrefix(text, " ") != strings.HasPrefix(translated, " ") || strings.HasSuffix(text, " ") != strings.HasSuffix(translated, " "):
		return "it has other spaces at its ends"
	}
	return ""
}

// bare lists the placeholders in the order of their values.
func bare(s string) []string {
	type place struct {
		at   int
		verb string
	}
	var list []place
	for i, v := range Verbs(s) {
		at := i
		if open := strings.IndexByte(v, '['); open >= 0 {
			end := strings.IndexByte(v, ']')
			at = int(v[open+1]-'0') - 1
			v = v[:open] + v[end+1:]
		}
		list = append(list, place{at, v})
	}
	slices.SortStableFunc(list, func(a, b place) int { return a.at - b.at })
	var out []string
	for _, p := range list {
		out = append(out, p.verb)
	}
	return out
}

// The test of the test: what goes past the tables is found, what need not be in them is not.
func TestWhatGoesPastTheTablesIsFound(t *testing.T) {
	root := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		file := filepath.Join(root, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("go.mod", "module foilwright\n\ngo 1.26\n")
	write("internal/say/say.go", "package say\n\ntype Text string\n\nfunc T(e Text, args ...any) string { return string(e) }\n\nfunc N(n int, one, many Text, args ...any) string { return string(one) }\n")
	write("internal/picture/p.go", "package picture\n")
	write("internal/screens/s.go", `package screens

import "foilwright/internal/say"

type key string

func draw(id, label string) {}

const sure say.Text = "in a table"

func all(n int) {
	draw("leave", say.T("Leave"))
	draw("leave", "Stay here")
	draw("leave", "stay")
	draw("leave", string(sure))
	draw("leave", say.T("%d of %d", n))
	draw("leave", say.N(n, "%d reading", "%d readings"))
	draw("leave", say.T("one "+
		"sentence"))
	_ = key("probe tilted")
	if n > 0 && string(sure) == "Not shown" {
		return
	}
}
`)
	found, err := Read(root)
	if err != nil {
		t.Fatal(err)
	}
	var lines []int
	for _, f := range found.Faults {
		lines = append(lines, f.Line)
	}
	if want := []int{13, 14, 15, 16, 21}; !slices.Equal(lines, want) {
		t.Errorf("faults in lines %v, want %v: %v", lines, want, found.Faults)
	}
	var texts []string
	for _, e := range found.Entries {
		texts = append(texts, e.One+"|"+e.Many)
	}
	if want := []string{"%d of %d|", "%d reading|%d readings", "Leave|", "in a table|", "one sentence|"}; !slices.Equal(texts, want) {
		t.Errorf("texts %q, want %q", texts, want)
	}
}

func TestUnlike(t *testing.T) {
	for _, c := range []struct{ text, translated, want string }{
		{"%s of %d", "%d von %s", "it has other placeholders"},
		{"%s of %d", "von %[2]d: %[1]s", ""},
		{"%s of %d", "%s", "it has other placeholders"},
		{" and ", "und", "it has other spaces at its ends"},
		{"a", " ", "it is empty"},
	} {
		if got := unlike(c.text, c.translated); got != c.want {
			t.Errorf("unlike(%q, %q) = %q, want %q", c.text, c.translated, got, c.want)
		}
	}
}
