package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"foilwright/scenarios"
	"foilwright/sim/bench"
)

// writeAttempt leaves the log of a short attempt in a folder.
func writeAttempt(t *testing.T, file, trainee string) []byte {
	t.Helper()
	e, err := scenarios.ByID("painted-panel")
	if err != nil {
		t.Fatal(err)
	}
	w, err := bench.NewWorld(e, 7)
	if err != nil {
		t.Fatal(err)
	}
	b := bench.New(w)
	at := int64(0)
	do := func(a bench.Action) {
		at += 500
		a.At = at
		if _, err := b.Do(a); err != nil {
			t.Fatal(err)
		}
	}
	do(bench.Action{Do: bench.ReadJob})
	do(bench.Action{Do: bench.ClearMemory})
	do(bench.Action{Do: bench.PlacePiece, Item: "panel"})
	for k := range int64(6) {
		for _, h := range []int64{40_000, 2000, 0, 0, 2000, 40_000} {
			do(bench.Action{Do: bench.MoveProbe, Pose: &bench.Pose{XUm: 80_000 + 20_000*k, YUm: 100_000, HeightUm: h, PressMN: 2000}})
		}
	}
	do(bench.Action{Do: bench.Report, Counts: 700, Text: bench.Reject})
	do(bench.Action{Do: bench.Finish})
	var writer bench.Writer
	log, err := writer.Header(bench.NewHeader(w, trainee))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range b.Record().Entries {
		line, err := writer.Entry(x)
		if err != nil {
			t.Fatal(err)
		}
		log = append(log, line...)
	}
	if err := os.WriteFile(file, log, 0o644); err != nil {
		t.Fatal(err)
	}
	return log
}

func reportCommand(args ...string) (code int, out, err string) {
	var o, e bytes.Buffer
	code = run(append([]string{"report"}, args...), streams{out: &o, err: &e})
	return code, o.String(), e.String()
}

func TestReportWritesWhatIsAskedFor(t *testing.T) {
	folder := t.TempDir()
	file := func(name string) string { return filepath.Join(folder, name) }
	log := writeAttempt(t, file("a.jsonl"), "Runa <Hald>")
	code, out, errs := reportCommand(file("a.jsonl"), "-html", file("a.html"), "-pdf", file("a.pdf"), "-csv", file("a.csv"), "-json", file("a.json"), "-date", "2026-03-09")
	if code != exitDone || errs != "" || strings.Count(out, "\n") != 4 {
		t.Fatalf("exit code %d, said %q, complained %q", code, out, errs)
	}
	for name, want := range map[string]string{
		"a.html": "Runa &lt;Hald&gt;", "a.pdf": "%PDF-", "a.csv": "entry,time_s,mode", "a.json": `"trainee": "Runa \u003cHald\u003e"`,
	} {
		text, err := os.ReadFile(file(name))
		if err != nil || !bytes.Contains(text, []byte(want)) {
			t.Errorf("%s does not hold %q (%v)", name, want, err)
		}
		// Written again over itself it is the same.
		reportCommand(file("a.jsonl"), "-"+strings.TrimPrefix(filepath.Ext(name), "."), file(name), "-date", "2026-03-09")
		if again, _ := os.ReadFile(file(name)); !bytes.Equal(text, again) {
			t.Errorf("%s comes out otherwise the second time", name)
		}
	}
	if after, _ := os.ReadFile(file("a.jsonl")); !bytes.Equal(after, log) {
		t.Error("the log was changed")
	}
	var o, e bytes.Buffer
	if code := run([]string{"report", "-", "-csv", file("b.csv")}, streams{in: bytes.NewReader(log), out: &o, err: &e}); code != exitDone {
		t.Errorf("from standard input: exit code %d, complained %q", code, e.String())
	}
	if left, _ := filepath.Glob(file(".report-*")); left != nil {
		t.Errorf("drafts left: %v", left)
	}
}

func TestReportRefuses(t *testing.T) {
	folder := t.TempDir()
	file := func(name string) string { return filepath.Join(folder, name) }
	log := writeAttempt(t, file("a.jsonl"), "x")
	write := func(name string, data []byte) string {
		if err := os.WriteFile(file(name), data, 0o644); err != nil {
			t.Fatal(err)
		}
		return file(name)
	}
	if err := os.Symlink(file("a.jsonl"), file("link.pdf")); err != nil {
		t.Fatal(err)
	}
	if err := os.Link(file("a.jsonl"), file("hard.html")); err != nil {
		t.Fatal(err)
	}
	changed := write("changed.jsonl", bytes.Replace(log, []byte(`"do":"read-job"`), []byte(`"do":"look-tip"`), 1))
	other := write("other.jsonl", bytes.Replace(log, []byte("painted-panel"), []byte("painted-pane1"), 1))
	for _, c := range []struct {
		name string
		args []string
		code int
		want string
	}{
		{"nothing to write", []string{file("a.jsonl")}, exitUsage, "nothing to write"},
		{"no log", []string{"-html", file("b.html")}, exitUsage, "0 arguments given"},
		{"two logs", []string{file("a.jsonl"), file("a.jsonl"), "-html", file("b.html")}, exitUsage, "2 arguments given"},
		{"over the log", []string{file("a.jsonl"), "-csv", file("a.jsonl")}, exitUsage, "is the log"},
		{"over the log by another name", []string{file("a.jsonl"), "-csv", filepath.Join(folder, ".", "x", "..", "a.jsonl")}, exitUsage, "is the log"},
		{"over the log by a link", []string{file("a.jsonl"), "-pdf", file("link.pdf")}, exitUsage, "is the log"},
		{"over the log by a hard link", []string{file("a.jsonl"), "-html", file("hard.html")}, exitUsage, "is the log"},
		{"one over the other", []string{file("a.jsonl"), "-html", file("b"), "-pdf", file("b")}, exitUsage, "is the file of -html"},
		{"bad date", []string{file("a.jsonl"), "-html", file("b.html"), "-date", "9.3.26"}, exitUsage, "expected the form"},
		{"missing log", []string{file("none.jsonl"), "-html", file("b.html")}, exitInput, "none.jsonl"},
		{"not a log", []string{write("c.jsonl", []byte("hello\n")), "-html", file("b.html")}, exitInput, "c.jsonl:1:"},
		{"changed log", []string{changed, "-html", file("b.html")}, exitInput, "hash chain"},
		{"torn log", []string{write("torn.jsonl", log[:len(log)-5]), "-html", file("b.html")}, exitInput, "mend"},
		{"unknown exercise", []string{other, "-html", file("b.html")}, exitInput, "other.jsonl:2:"},
		{"missing exercise", []string{file("a.jsonl"), "-html", file("b.html"), "-exercise", file("none.yaml")}, exitInput, "none.yaml"},
		{"no folder", []string{file("a.jsonl"), "-html", file("none/b.html")}, exitFailed, "cannot be written"},
		{"a folder", []string{file("a.jsonl"), "-html", folder}, exitFailed, "no plain file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.name == "over the log by another name" {
				if err := os.Mkdir(file("x"), 0o755); err != nil {
					t.Fatal(err)
				}
			}
			code, out, errs := reportCommand(c.args...)
			if code != c.code || out != "" || !strings.Contains(errs, c.want) || !regexp.MustCompile(`^foilwright-desk: .+\n(hint: .+\n)?$`).MatchString(errs) {
				t.Errorf("exit code %d, said %q, complained %q; want code %d and %q", code, out, errs, c.code, c.want)
			}
		})
	}
	if after, _ := os.ReadFile(file("a.jsonl")); !bytes.Equal(after, log) {
		t.Error("the log was changed")
	}
	if _, err := os.Stat(file("b.html")); err == nil {
		t.Error("a report was left by a command that failed")
	}
}
