package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// desk runs one command line.
func desk(args ...string) (code int, out, errors string) {
	var o, e bytes.Buffer
	code = run(args, streams{in: strings.NewReader(""), out: &o, err: &e})
	return code, o.String(), e.String()
}

func golden(t *testing.T, name string) (string, []byte) {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "logs", name+".jsonl")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return path, data
}

func TestGradeTellsTheFindingAndWhetherItPassed(t *testing.T) {
	path, _ := golden(t, "foil-label")
	code, out, _ := desk("grade", path)
	if code != exitDone || !strings.Contains(out, "(foil-label)") || !strings.Contains(out, "Training aid") && !strings.Contains(out, "certifies nobody") {
		t.Errorf("exit %d, printed:\n%s", code, out)
	}
	path, _ = golden(t, "zero-missing")
	if code, _, _ := desk("grade", path, "-must-pass"); code != exitFailed {
		t.Errorf("grade -must-pass of an attempt with a critical finding exits %d, want %d", code, exitFailed)
	}
	path, _ = golden(t, "competent")
	if code, out, _ := desk("grade", path, "-must-pass"); code != exitDone || !strings.Contains(out, "\nPASSED\n") {
		t.Errorf("grade -must-pass of the competent attempt exits %d:\n%s", code, out)
	}
}

func TestJSONIsWhole(t *testing.T) {
	path, _ := golden(t, "tilt")
	for _, args := range [][]string{
		{"grade", path, "-json"}, {"explain", path, "-json"}, {"verify-log", path, "-json"}, {"play", "-trainee", "list", "-json"},
		{"check", filepath.Join("..", "..", "scenarios", "painted-panel.yaml"), "-json"},
		{"fidelity", filepath.Join("..", "..", "testdata", "ref", "eddy_air_half.csv"), "-json"},
	} {
		code, out, errors := desk(args...)
		var v any
		if err := json.Unmarshal([]byte(out), &v); err != nil || code != exitDone {
			t.Errorf("%v: exit %d, %v, %s", args, code, err, errors)
		}
	}
}

func TestExplainAddsUp(t *testing.T) {
	path, _ := golden(t, "zero-piece-mismatch")
	code, out, _ := desk("explain", path, "-json")
	var e struct {
		Mean struct {
			Total     float64 `json:"total_um"`
			Remainder float64 `json:"remainder_um"`
			Shares    []struct {
				Um float64 `json:"um"`
			} `json:"shares"`
		} `json:"mean"`
	}
	if err := json.Unmarshal([]byte(out), &e); err != nil || code != exitDone {
		t.Fatalf("exit %d, %v", code, err)
	}
	sum := e.Mean.Remainder
	for _, s := range e.Mean.Shares {
		sum += s.Um
	}
	if d := sum - e.Mean.Total; d > 1e-9 || d < -1e-9 || len(e.Mean.Shares) == 0 {
		t.Errorf("%d shares miss the error by %g µm", len(e.Mean.Shares), d)
	}
}

func TestDamagedLogsAreToldAndLeftAlone(t *testing.T) {
	_, whole := golden(t, "competent")
	lines := bytes.SplitAfter(whole, []byte("\n"))
	altered := bytes.Replace(whole, []byte(`"h":40`), []byte(`"h":41`), 1)
	if bytes.Equal(altered, whole) {
		altered = bytes.Replace(whole, []byte(`"do":"wipe-tip"`), []byte(`"do":"look-tip"`), 1)
	}
	for _, c := range []struct {
		name string
		data []byte
		err  []string // what must be told
	}{
		{"cut off", whole[:len(whole)-20], []string{":345:", "cut off", "foilwright-desk mend"}},
		{"altered", altered, []string{":", "hash chain", "restore"}},
		{"line lost", bytes.Join(append(append([][]byte{}, lines[:9]...), lines[10:]...), nil), []string{":10:", "hash chain"}},
		{"unknown version", bytes.Replace(whole, []byte(`"version":1`), []byte(`"version":7`), 1), []string{":1:", "unknown log version 7", "the program that wrote it"}},
		{"unknown exercise", bytes.Replace(whole, []byte(`"exercise":"painted-panel"`), []byte(`"exercise":"painted-panzer"`), 1), nil},
		{"empty", nil, []string{":1:", "empty"}},
		{"not a log", []byte("minutes of a meeting\n"), []string{":1:", "not a log"}},
	} {
		path := filepath.Join(t.TempDir(), "x.jsonl")
		if err := os.WriteFile(path, c.data, 0o444); err != nil {
			t.Fatal(err)
		}
		for _, command := range []string{"grade", "explain", "verify-log"} {
			code, out, errors := desk(command, path)
			if code != exitInput || out != "" {
				t.Errorf("%s of a log %s: exit %d, want %d; printed %q", command, c.name, code, exitInput, out)
			}
			for _, want := range c.err {
				if want == ":345:" && !strings.Contains(errors, want) {
					want = "x.jsonl:" // the line number moves with the golden log
				}
				if !strings.Contains(errors, want) {
					t.Errorf("%s of a log %s: told %q, want %q in it", command, c.name, errors, want)
				}
			}
		}
		if after, err := os.ReadFile(path); err != nil || !bytes.Equal(after, c.data) {
			t.Errorf("the log %s was changed", c.name)
		}
	}
}

func TestMendCopiesWhatIsWhole(t *testing.T) {
	_, whole := golden(t, "competent")
	folder := t.TempDir()
	torn, mended := filepath.Join(folder, "torn.jsonl"), filepath.Join(folder, "mended.jsonl")
	if err := os.WriteFile(torn, whole[:len(whole)-20], 0o444); err != nil {
		t.Fatal(err)
	}
	if code, _, errors := desk("mend", torn, "-out", mended); code != exitDone {
		t.Fatalf("exit %d: %s", code, errors)
	}
	got, err := os.ReadFile(mended)
	if err != nil {
		t.Fatal(err)
	}
	lines := bytes.SplitAfter(whole, []byte("\n"))
	if want := bytes.Join(lines[:len(lines)-2], nil); !bytes.Equal(got, want) {
		t.Errorf("%d bytes mended, want %d", len(got), len(want))
	}
	if code, _, errors := desk("verify-log", mended); code != exitDone {
		t.Errorf("the mended log: exit %d: %s", code, errors)
	}
	if code, _, errors := desk("mend", torn, "-out", mended); code != exitFailed || !strings.Contains(errors, "nothing is overwritten") {
		t.Errorf("mending over a file: exit %d: %s", code, errors)
	}
	if code, out, _ := desk("mend", mended, "-out", filepath.Join(folder, "again.jsonl")); code != exitDone || !strings.Contains(out, "nothing to mend") {
		t.Errorf("mending a whole log: exit %d: %s", code, out)
	}
}

func TestPlayGivesTheSameLogTwice(t *testing.T) {
	folder := t.TempDir()
	a, b := filepath.Join(folder, "a.jsonl"), filepath.Join(folder, "b.jsonl")
	for _, out := range []string{a, b} {
		if code, _, errors := desk("play", "painted-panel", "-trainee", "competent", "-seed", "5", "-out", out); code != exitDone {
			t.Fatalf("exit %d: %s", code, errors)
		}
	}
	x, _ := os.ReadFile(a)
	y, _ := os.ReadFile(b)
	if len(x) == 0 || !bytes.Equal(x, y) {
		t.Errorf("two plays of one seed differ: %d and %d bytes", len(x), len(y))
	}
	if code, _, errors := desk("play", "painted-panel", "-trainee", "competent", "-out", a); code != exitFailed || !strings.Contains(errors, "is there already") {
		t.Errorf("playing over a log: exit %d: %s", code, errors)
	}
}

func TestPlayAScript(t *testing.T) {
	file := filepath.Join(t.TempDir(), "x.txt")
	if err := os.WriteFile(file, []byte("read-job\nplace panel\ntouch 60 50\nfinish\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	code, out, errors := desk("play", "painted-panel", "-script", file)
	if code != exitDone || !strings.Contains(out, "finished; entries: 8, readings: 1") {
		t.Errorf("exit %d: %s%s", code, out, errors)
	}
	if err := os.WriteFile(file, []byte("read-job\nplaice panel\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, errors := desk("play", "painted-panel", "-script", file); code != exitInput || !strings.Contains(errors, "x.txt:2: unknown action \"plaice\"") {
		t.Errorf("a faulty script: exit %d: %s", code, errors)
	}
}

func TestCheckTellsEveryFault(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "scenarios", "painted-panel.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	bad := bytes.Replace(data, []byte("  spots: 5"), []byte("  spots: many"), 1)
	bad = bytes.Replace(bad, []byte("probe: ferrous-general"), []byte("probe: ferrous-generel"), 1)
	for name, text := range map[string][]byte{"good.yaml": data, "bad.yaml": bad} {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	code, out, _ := desk("check", folder)
	if code != exitFailed || !strings.Contains(out, "good.yaml: good") || !strings.Contains(out, "job.spots") || !strings.Contains(out, "probe") {
		t.Errorf("exit %d:\n%s", code, out)
	}
	if code, _, _ := desk("check", filepath.Join(folder, "none.yaml")); code != exitInput {
		t.Errorf("a missing file: exit %d, want %d", code, exitInput)
	}
}

func TestFidelityOfOneTable(t *testing.T) {
	table := filepath.Join("..", "..", "testdata", "ref", "magnetic_air_plate_1.csv")
	if code, out, errors := desk("fidelity", table, "--tolerance", "0.01"); code != exitDone || !strings.Contains(out, "pass") {
		t.Errorf("exit %d: %s%s", code, out, errors)
	}
	if code, out, _ := desk("fidelity", table, "--tolerance", "0.00001"); code != exitFailed || !strings.Contains(out, "FAIL") {
		t.Errorf("a tolerance that cannot be met: exit %d, want %d", code, exitFailed)
	}
	if code, _, _ := desk("fidelity", "nowhere.csv"); code != exitInput {
		t.Errorf("a missing table: exit %d, want %d", code, exitInput)
	}
}
