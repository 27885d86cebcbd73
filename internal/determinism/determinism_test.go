package determinism

import (
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var (
	update = flag.Bool("update", false, "write the digest file anew")
	dump   = flag.String("dump", "", "print the bits of every value of the trial of this name, to compare two machines")
)

const (
	digestFile = "../../testdata/determinism/digest.txt"
	logFolder  = "../../testdata/logs"
)

const digestHead = `# Digests of computed values: name, number of values, SHA-256 over their bits (first 16 bytes).
# The same on every machine. Written by: go test ./internal/determinism -update
`

// TestSameBitsEverywhere compares this build's values with the digests in the repository.
func TestSameBitsEverywhere(t *testing.T) {
	replays, err := Replays(logFolder)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, trial := range slices.Concat(Mathematics(), Signals(), Plays(), replays) {
		line, err := trial.Line()
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, line)
		if *dump == trial.Name {
			trial.Run(func(v float64) { fmt.Printf("%016x %v\n", canonicalBits(v), v) })
		}
	}
	if *update {
		if err := os.MkdirAll(filepath.Dir(digestFile), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(digestFile, []byte(digestHead+strings.Join(got, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	content, err := os.ReadFile(digestFile)
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for line := range strings.Lines(string(content)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			want = append(want, line)
		}
	}
	for _, difference := range Differences(got, want) {
		t.Error(difference)
	}
	t.Logf("%d trials", len(got))
}

// TestEveryFunctionIsTried reads which functions sim/num offers and looks for each in the trials' source.
func TestEveryFunctionIsTried(t *testing.T) {
	trials, err := os.ReadFile("mathematics.go")
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("../../sim/num/*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d files of sim/num found (error %v)", len(files), err)
	}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		syntax, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range syntax.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || !f.Name.IsExported() {
				continue
			}
			call := "num." + f.Name.Name
			if f.Recv != nil {
				call = "s." + f.Name.Name + "("
			}
			if !strings.Contains(string(trials), call) {
				t.Errorf("sim/num offers %s but no trial uses it; add one to mathematics.go", f.Name.Name)
			}
		}
	}
}

func TestDigestSeesOneBit(t *testing.T) {
	line := func(values ...float64) string {
		s, err := Trial{"t", func(emit func(float64)) error {
			for _, v := range values {
				emit(v)
			}
			return nil
		}}.Line()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	base := line(1, 2)
	for _, c := range []struct {
		name string
		line string
		same bool
	}{
		{"again", line(1, 2), true},
		{"last bit", line(1, math.Nextafter(2, 3)), false},
		{"order", line(2, 1), false},
		{"one more", line(1, 2, 3), false},
	} {
		if (c.line == base) != c.same {
			t.Errorf("%s: got %q beside %q, want same: %v", c.name, c.line, base, c.same)
		}
	}
	if line(0) == line(math.Copysign(0, -1)) {
		t.Error("the sign of zero is not seen")
	}
	if line(math.NaN()) != line(math.Float64frombits(0xfff8000000000000)) {
		t.Error("two NaNs differ")
	}
}

func TestDifferencesAreTold(t *testing.T) {
	got := Differences([]string{"a 1 x", "b 1 y", "d 1 z"}, []string{"a 1 x", "b 1 other", "c 1 w"})
	for i, start := range []string{"b: got", "d: not in the digest file", "c: in the digest file but not computed"} {
		if len(got) != 3 || !strings.HasPrefix(got[i], start) {
			t.Fatalf("told %q, want one each for b, d and c", got)
		}
	}
}
