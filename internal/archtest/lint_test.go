package archtest

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// snippet is a repository of a few files: names and contents in turn. It has a go.mod unless one is given.
func snippet(t *testing.T, files ...string) *Tree {
	t.Helper()
	root := t.TempDir()
	files = append([]string{"go.mod", "module foilwright\n\ngo 1.26\n"}, files...)
	for i := 0; i < len(files); i += 2 {
		name := filepath.Join(root, filepath.FromSlash(files[i]))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(files[i+1]), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	tree, err := ReadTree(root)
	if err != nil {
		t.Fatal(err)
	}
	return tree
}

// expect compares findings with the wanted "file:line: what", in any order.
func expect(t *testing.T, found []Finding, err error, want ...string) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	SortFindings(found)
	var got []string
	for _, f := range found {
		if f.Why == "" {
			t.Errorf("%v has no reason", f)
		}
		text, _ := strings.CutSuffix(f.String(), "; "+f.Why)
		got = append(got, text)
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("found\n  %s\nwant\n  %s", strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
}

func TestImportLint(t *testing.T) {
	for _, c := range []struct {
		name  string
		files []string
		want  []string
	}{
		{"allowed", []string{
			"sim/field/a.go", "package field\nimport (\n\t_ \"math\"\n\t_ \"foilwright/sim/num\"\n)",
			"sim/num/stream.go", "package num\nimport _ \"golang.org/x/exp/rand\"",
			"sim/field/a_test.go", "package field\nimport (\n\t_ \"os\"\n\t_ \"foilwright/sim/gauge\"\n)",
			"sim/bench/b_test.go", "package bench_test\nimport _ \"foilwright/scenarios\"",
			"internal/window/w.go", "package window\nimport _ \"github.com/hajimehoshi/ebiten/v2\"",
			"cmd/foilwright/main.go", "package main\nimport _ \"foilwright/internal/window\"",
			"scenarios/s.go", "package scenarios\nimport (\n\t_ \"os\"\n\t_ \"foilwright/sim/bench\"\n)",
		}, nil},
		{"backwards in sim", []string{"sim/field/a.go", "package field\n\nimport _ \"foilwright/sim/gauge\""},
			[]string{"sim/field/a.go:3: imports foilwright/sim/gauge"}},
		{"leaf with an import", []string{"sim/num/a.go", "package num\nimport _ \"foilwright/sim/part\""},
			[]string{"sim/num/a.go:2: imports foilwright/sim/part"}},
		{"sim to internal", []string{"sim/bench/a.go", "package bench\nimport _ \"foilwright/internal/store\""},
			[]string{"sim/bench/a.go:2: imports foilwright/internal/store"}},
		{"sim test to internal", []string{"sim/bench/a_test.go", "package bench\nimport _ \"foilwright/internal/store\""},
			[]string{"sim/bench/a_test.go:2: imports foilwright/internal/store"}},
		{"world in sim", []string{"sim/gauge/a.go", "package gauge\nimport (\n_ \"os\"\n_ \"os/exec\"\n_ \"time\"\n_ \"sync/atomic\"\n" +
			"_ \"math/rand/v2\"\n_ \"gonum.org/v1/gonum/stat\"\n_ \"net/http\")"},
			[]string{"sim/gauge/a.go:3: imports os", "sim/gauge/a.go:4: imports os/exec", "sim/gauge/a.go:5: imports time",
				"sim/gauge/a.go:6: imports sync/atomic", "sim/gauge/a.go:7: imports math/rand/v2",
				"sim/gauge/a.go:8: imports gonum.org/v1/gonum/stat", "sim/gauge/a.go:9: imports net/http"}},
		{"ebiten outside the window", []string{"internal/screens/a.go", "package screens\nimport _ \"github.com/hajimehoshi/ebiten/v2/text\""},
			[]string{"internal/screens/a.go:2: imports github.com/hajimehoshi/ebiten/v2/text"}},
		{"window from a screen", []string{"internal/screens/a.go", "package screens\nimport _ \"foilwright/internal/window\""},
			[]string{"internal/screens/a.go:2: imports foilwright/internal/window"}},
		{"second stream file", []string{"sim/num/other.go", "package num\nimport _ \"golang.org/x/exp/rand\""},
			[]string{"sim/num/other.go:2: imports golang.org/x/exp/rand"}},
		{"scenarios to internal", []string{"scenarios/a.go", "package scenarios\nimport _ \"foilwright/internal/store\""},
			[]string{"scenarios/a.go:2: imports foilwright/internal/store"}},
		{"assets to ours", []string{"assets/a.go", "package assets\nimport _ \"foilwright/sim/num\""},
			[]string{"assets/a.go:2: imports foilwright/sim/num"}},
		{"internal to cmd", []string{"internal/a/a.go", "package a\nimport _ \"foilwright/cmd/foilwright\""},
			[]string{"internal/a/a.go:2: imports foilwright/cmd/foilwright"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			expect(t, CheckImports(snippet(t, c.files...), nil), nil, c.want...)
		})
	}
}

func TestSimPackageLint(t *testing.T) {
	files := []string{"sim/extra/a.go", "package extra", "sim/field/tablegen/main.go", "package main"}
	for dir := range simMayImport {
		if dir != "sim/part" {
			files = append(files, dir+"/a.go", "package "+filepath.Base(dir))
		}
	}
	expect(t, CheckSimPackages(snippet(t, files...)), nil, "sim/extra: has no import direction", "sim/part: does not exist")
}

func TestDeskLint(t *testing.T) {
	files := []string{
		"cmd/foilwright-desk/main.go", "package main\nimport _ \"foilwright/internal/report\"",
		"internal/report/r.go", "package report\nimport _ \"foilwright/internal/picture\"",
		"internal/picture/p.go", "package picture",
		"internal/picture/p_test.go", "package picture\nimport _ \"foilwright/internal/window\"",
		"internal/window/w.go", "package window",
	}
	expect(t, CheckDesk(snippet(t, files...)), nil)
	files = append(files, "internal/picture/q.go", "package picture\nimport _ \"foilwright/internal/window\"")
	expect(t, CheckDesk(snippet(t, files...)), nil, "cmd/foilwright-desk: links the window: "+
		"cmd/foilwright-desk -> internal/report -> internal/picture -> internal/window")
}

// number numbers the lines of a function's body in a file of sim, the first being line 10.
func number(body string, imports ...string) string {
	head := "package gauge\nimport (\n" + strings.Join(imports, "\n") + "\n)\n"
	for strings.Count(head, "\n") < 8 {
		head += "\n"
	}
	return head + "func f(a, b, c float64, z, w complex128, m map[string]int, n int) any {\n" + body + "\n}\n"
}

func TestPureLint(t *testing.T) {
	for _, c := range []struct {
		name, body string
		imports    []string
		want       []string
	}{
		{"exact functions", "return math.Sqrt(a) + math.Floor(b) + math.Abs(c) + math.MaxFloat64 + math.Pi", []string{`"math"`}, nil},
		{"exponential", "return math.Exp(a)", []string{`"math"`}, []string{"sim/gauge/a.go:10: math.Exp"}},
		{"as a value", "g := math.Pow\nreturn g(a, b)", []string{`"math"`}, []string{"sim/gauge/a.go:10: math.Pow"}},
		{"under another name", "return m2.Tanh(a)", []string{`m2 "math"`}, []string{"sim/gauge/a.go:10: math.Tanh"}},
		{"complex functions", "_ = cmplx.Conj(z)\nreturn cmplx.Abs(z)", []string{`"math/cmplx"`}, []string{"sim/gauge/a.go:11: cmplx.Abs"}},
		{"complex product", "_ = z * w\nreturn z + w", nil, []string{"sim/gauge/a.go:10: complex *"}},
		{"complex quotient in place", "z /= w\nreturn z", nil, []string{"sim/gauge/a.go:10: complex /="}},
		{"complex constant", "return z + 2i*3", nil, nil},
		{"goroutine", "go func() {}()\nreturn nil", nil, []string{"sim/gauge/a.go:10: go statement"}},
		{"channel", "c2 := make(chan int, 1)\nselect {\ncase c2 <- 1:\ndefault:\n}\nreturn nil", nil,
			[]string{"sim/gauge/a.go:10: channel", "sim/gauge/a.go:11: select statement"}},
		{"map", "for k := range m {\n_ = k\n}\nreturn nil", nil, []string{"sim/gauge/a.go:10: ranges over a map"}},
		{"slice", "for i := range []int{1} {\n_ = i\n}\nreturn nil", nil, nil},
		{"sorted keys", "for _, k := range slices.Sorted(maps.Keys(m)) {\n_ = k\n}\nreturn nil", []string{`"maps"`, `"slices"`}, nil},
		{"unsorted keys", "for k := range maps.Keys(m) {\n_ = k\n}\nreturn nil", []string{`"maps"`},
			[]string{"sim/gauge/a.go:10: maps.Keys outside slices.Sorted"}},
		{"collected keys", "return slices.Collect(maps.Keys(m))", []string{`"maps"`, `"slices"`},
			[]string{"sim/gauge/a.go:10: maps.Keys outside slices.Sorted"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			packages, err := LoadTyped(snippet(t, "sim/gauge/a.go", number(c.body, c.imports...)), "sim")
			expect(t, CheckPure(packages, nil), err, c.want...)
		})
	}
}

func TestFusedLint(t *testing.T) {
	for _, c := range []struct {
		name, body string
		want       []string
	}{
		{"converted", "return float64(a*b) + c", nil},
		{"no sum", "return a * b / c * a", nil},
		{"converted in place", "c += float64(a * b)\nreturn c", nil},
		{"converted variable", "d := float64(a * b)\nreturn d + c", nil},
		{"whole numbers", "return n*n + n", nil},
		{"constants", "const k = 2.0 * 3\nreturn k*1.5 + 1", nil},
		{"quotient", "return a*b/c + a", nil},
		{"left", "return a*b + c", []string{"sim/gauge/a.go:10: adds or subtracts the bare product a * b"}},
		{"right, in brackets", "return c - (a * b)", []string{"sim/gauge/a.go:10: adds or subtracts the bare product a * b"}},
		{"with a sign", "return -(a * b) + c", []string{"sim/gauge/a.go:10: adds or subtracts the bare product a * b"}},
		{"both", "return a*b +\nb*c", []string{"sim/gauge/a.go:10: adds or subtracts the bare product a * b",
			"sim/gauge/a.go:11: adds or subtracts the bare product b * c"}},
		{"conversion of the wrong part", "return a*b + float64(c)", []string{"sim/gauge/a.go:10: adds or subtracts the bare product a * b"}},
		{"in place", "c -= a * b\nreturn c", []string{"sim/gauge/a.go:10: adds or subtracts the bare product a * b"}},
		{"in an argument", "return math.Sqrt(1 - a*a)", []string{"sim/gauge/a.go:10: adds or subtracts the bare product a * a"}},
		{"through a variable", "d := a * b\nreturn d + c", []string{"sim/gauge/a.go:11: adds or subtracts d, which holds the bare product of line 10"}},
		{"through a declared variable", "var d = a * b\nreturn c - d", []string{"sim/gauge/a.go:11: adds or subtracts d, which holds the bare product of line 10"}},
		{"multiplied in place", "a *= b\nreturn a + c", []string{"sim/gauge/a.go:11: adds or subtracts a, which holds the bare product of line 10"}},
		{"added to in place", "a = b * c\na += c\nreturn a", []string{"sim/gauge/a.go:11: adds or subtracts a, which holds the bare product of line 10"}},
		{"counted", "a = b * c\na++\nreturn a", []string{"sim/gauge/a.go:11: adds or subtracts a, which holds the bare product of line 10"}},
		{"single precision", "return float32(a)*float32(b) + 1", []string{"sim/gauge/a.go:10: adds or subtracts the bare product float32(a) * float32(b)"}},
		{"power of two", "return 2*a + 0.25*b - 3*c", []string{"sim/gauge/a.go:10: adds or subtracts the bare product 3 * c"}},
		{"power of two in place", "a *= 0.5\nreturn a + c", nil},
		{"field", "var s struct{ x, y float64 }\ns.x = a * b\ns.y = float64(a * b)\nreturn s.x + s.y",
			[]string{"sim/gauge/a.go:13: adds or subtracts s.x, which holds the bare product of line 11"}},
		{"field of a literal", "s := struct{ x float64 }{x: a * b}\nreturn s.x + c",
			[]string{"sim/gauge/a.go:11: adds or subtracts s.x, which holds the bare product of line 10"}},
		{"field in another function", "var s pair\ns.x = a * b\nreturn s\n}\ntype pair struct{ x float64 }\nfunc g(s *pair) float64 {\nreturn s.x + 1", nil},
		{"result", "return product(a, b) + rounded(a, b)\n}\nfunc product(a, b float64) float64 { return a * b }\nfunc rounded(a, b float64) float64 {\nreturn float64(a * b)",
			[]string{"sim/gauge/a.go:10: adds or subtracts product(a, b), which returns the bare product of line 12"}},
		{"result handed on", "return outer(a) - c\n}\nfunc outer(a float64) float64 { return inner(a) }\nfunc inner(a float64) float64 {\nreturn a * a",
			[]string{"sim/gauge/a.go:10: adds or subtracts outer(a), which returns the bare product of line 14"}},
		{"named result", "return square(a) + c\n}\nfunc square(a float64) (s float64) {\ns = a * a\nreturn",
			[]string{"sim/gauge/a.go:10: adds or subtracts square(a), which returns the bare product of line 13"}},
		{"second result", "d, e := two(a)\nreturn c + d + e\n}\nfunc two(a float64) (float64, float64) {\nreturn a, a * a",
			[]string{"sim/gauge/a.go:11: adds or subtracts e, which holds the bare product of line 14"}},
		{"literal's result", "g := func() float64 { return a * b }\nreturn g() + f2()\n}\nfunc f2() float64 {\nreturn 1", nil},
		{"parts of a complex number", "return z + complex(a*b, c)", []string{"sim/gauge/a.go:10: adds or subtracts the bare product complex(a * b, c)"}},
		{"part taken out again", "y := complex(a*b, c)\nreturn real(y) + c", []string{"sim/gauge/a.go:11: adds or subtracts the bare product real(y)"}},
		{"a type of ours", "type um float64\nreturn um(a)*um(b) + um(c)", []string{"sim/gauge/a.go:11: adds or subtracts the bare product um(a) * um(b)"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			packages, err := LoadTyped(snippet(t, "sim/gauge/a.go", number(c.body+"\n}\nfunc _() float64 {\nreturn math.Pi", `"math"`)), "sim")
			expect(t, CheckFused(packages, nil), err, c.want...)
		})
	}
}

func TestExemptions(t *testing.T) {
	tree := snippet(t,
		"sim/field/reference.go", "package field\n\nimport \"math\"\n\nfunc reference(x float64) float64 { return math.Exp(x*x + 1) }",
		"sim/field/over.go", "package field\n\nfunc over(x float64) float64 { return x }")
	exempt := Exemptions{{"sim/field/reference.go", "a test's integrator"}}
	packages, err := LoadTyped(tree, "sim")
	expect(t, CheckPure(packages, exempt), err)
	expect(t, CheckFused(packages, exempt), err)

	all := append(CheckPure(packages, nil), CheckFused(packages, nil)...)
	expect(t, exempt.CheckExemptions(all), nil)
	stale := Exemptions{{"sim/field/over.go", "needs nothing"}, {"sim/field/gone.go", "does not exist"}, {"sim/field/", "a folder that is needed"}}
	expect(t, stale.CheckExemptions(all), nil, "sim/field/over.go: is exempt but breaks no rule, or does not exist",
		"sim/field/gone.go: is exempt but breaks no rule, or does not exist")

	tree = snippet(t,
		"sim/field/reference.go", "package field\n\nimport \"math\"\n\nfunc reference(x float64) float64 { return math.Exp(x) }",
		"sim/field/over.go", "package field\n\nfunc over(x float64) float64 { return reference(x) }")
	packages, err = LoadTyped(tree, "sim")
	expect(t, CheckPure(packages, exempt), err, "sim/field/over.go:3: uses reference of sim/field/reference.go")
}

func TestTypeCheckFailsOnBrokenSource(t *testing.T) {
	if _, err := LoadTyped(snippet(t, "sim/gauge/a.go", "package gauge\n\nvar x int = \"text\""), "sim"); err == nil {
		t.Error("a package that does not compile was accepted")
	}
}

func TestReadmeLint(t *testing.T) {
	const good = "# Foilwright\n\nGo 1.26\n\n```\ngo run ./cmd/foilwright-desk start\n```\n\n```\nsh .ci/test\n```\n"
	desk := []string{"cmd/foilwright-desk/main.go", "package main\n\nvar _ = command{name: \"start\"}\nvar _ = command{name: \"grade\"}", ".ci/test", "#!/bin/sh"}
	for _, c := range []struct {
		name, readme string
		files        []string
		want         []string
	}{
		{"kept", good + "\n```\nfoilwright-desk grade a.jsonl\nfoilwright-desk help\n```\n", desk, nil},
		{"unknown subcommand", good + "\n```\nfoilwright-desk gradually\n```\n", desk, []string{"README.md:14: shows foilwright-desk gradually"}},
		{"commands swapped", "Go 1.26\n```\nsh .ci/test\n```\n```\ngo run ./cmd/foilwright-desk start\n```\n", desk,
			[]string{"README.md:1: command number 1 is not \"go run ./cmd/foilwright-desk start\"", "README.md:1: command number 2 is not \"sh .ci/test\""}},
		{"no such files", good, nil, []string{"README.md:1: names a command without cmd/foilwright-desk/main.go",
			"README.md:1: names a command without .ci/test", "README.md:6: shows foilwright-desk start"}},
		{"another Go", strings.Replace(good, "1.26", "1.19", 1), desk, []string{"README.md:1: does not name Go 1.26"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			found, err := CheckReadme(snippet(t, append(c.files, "README.md", c.readme)...))
			expect(t, found, err, c.want...)
		})
	}
	if _, err := CheckReadme(snippet(t, desk...)); err == nil {
		t.Error("a repository without README passed")
	}
}

func TestLinkLint(t *testing.T) {
	tree := snippet(t, "README.md", "[a](docs/a.md) ![p](p.png \"title\")\n[c](docs/none.md#part) [d](https://example.org/x) [e](#here)\n",
		"docs/a.md", "[up](../README.md)\n\n[wrong](README.md)\n", "p.png", "")
	found, err := CheckLinks(tree.Root)
	expect(t, found, err, "README.md:2: links to docs/none.md", "docs/a.md:3: links to README.md")
}

func TestModuleLint(t *testing.T) {
	found, err := CheckModule(snippet(t, "go.mod", "module foilwright\n\nreplace a => b\n").Root)
	expect(t, found, err, "go.mod:3: has a replace directive")
}

func TestSizeLint(t *testing.T) {
	large := strings.Repeat("x", sizeLimit+1)
	found, err := CheckSizes(snippet(t, "assets/sound.bin", large, "build/foilwright.wasm", large, "a.txt", large[:sizeLimit]).Root)
	expect(t, found, err, "assets/sound.bin: is 1.0 MB large")
}

func TestWordLint(t *testing.T) {
	found, err := CheckWords(snippet(t, "a.txt", "fine\nthe Gizmotron 3000\n", "gizmotron.md", "fine", "picture.bin", "\xffgizmotron").Root, []string{"gizmoTRON"})
	expect(t, found, err, "a.txt:2: has the word gizmoTRON", "gizmotron.md: is named with the word gizmoTRON")
}
