package archtest

import (
	"maps"
	"slices"
	"strings"
)

// simMayImport tells, for each package of the simulation, which others it may import: a reading passes the packages
// from left to right, and none calls back.
var simMayImport = map[string][]string{
	"sim/num":     {},
	"sim/inspect": {"sim/num"}, // verdicts too are the same on every machine
	"sim/field":   {"sim/num"},
	"sim/part":    {"sim/num", "sim/field"},
	"sim/probe":   {"sim/num", "sim/field", "sim/part"},
	"sim/gauge":   {"sim/num", "sim/field", "sim/part", "sim/probe", "sim/inspect"},
	"sim/bench":   {"sim/num", "sim/field", "sim/part", "sim/probe", "sim/gauge", "sim/inspect"},
	"sim/grade":   {"sim/num", "sim/field", "sim/part", "sim/probe", "sim/gauge", "sim/inspect", "sim/bench"},
	"sim/explain": {"sim/num", "sim/field", "sim/part", "sim/probe", "sim/gauge", "sim/inspect", "sim/bench"},
	"sim/trainee": {"sim/num", "sim/field", "sim/part", "sim/probe", "sim/gauge", "sim/inspect", "sim/bench"},
}

// simForbids are packages that nothing in sim imports, with the reason. A name ending in / covers all below it.
var simForbids = []struct{ name, why string }{
	{"os", "the simulation reads no files and no environment"},
	{"os/", "the simulation starts no programs"},
	{"io/ioutil", "the simulation reads no files"},
	{"path/filepath", "the simulation knows no files"},
	{"log", "the simulation reports by return values"},
	{"log/", "the simulation reports by return values"},
	{"net", "the simulation reaches no network"},
	{"net/", "the simulation reaches no network"},
	{"time", "time is the action's own time stamp, never the clock"},
	{"sync", "the simulation runs in one goroutine"},
	{"sync/", "the simulation runs in one goroutine"},
	{"context", "the simulation runs in one goroutine"},
	{"runtime", "a result must not depend on the machine"},
	{"runtime/", "a result must not depend on the machine"},
	{"unsafe", "a result must not depend on the machine"},
	{"syscall", "a result must not depend on the machine"},
	{"C", "the simulation runs in browsers"},
	{"math/rand", "random numbers come from num.NewStream, one stream per purpose"},
	{"math/rand/", "random numbers come from num.NewStream, one stream per purpose"},
	{"crypto/rand", "random numbers come from num.NewStream, one stream per purpose"},
	{"gonum.org/", "gonum's sums differ between processors"},
	{"testing", "test code belongs in _test.go files"},
	{"testing/", "test code belongs in _test.go files"},
}

func forbidden(importPath string) (why string, found bool) {
	for _, f := range simForbids {
		if importPath == f.name || strings.HasSuffix(f.name, "/") && strings.HasPrefix(importPath, f.name) {
			return f.why, true
		}
	}
	return "", false
}

// CheckImports finds imports that go the wrong way. Test files may import more, as their rules say.
func CheckImports(t *Tree, exempt Exemptions) []Finding {
	var found []Finding
	for _, file := range t.Files {
		for _, spec := range file.Syntax.Imports {
			p := importPath(spec)
			for _, breach := range importBreaches(file, p) {
				if breach.exemptible && exempt.covers(file.File) {
					continue
				}
				found = append(found, Finding{file.File, file.line(spec.Pos()), "imports " + p, breach.why})
			}
		}
	}
	return found
}

type importBreach struct {
	why        string
	exemptible bool
}

func importBreaches(file Source, p string) []importBreach {
	var breaches []importBreach
	add := func(why string) { breaches = append(breaches, importBreach{why, false}) }
	own, isOwn := ownFolder(p)
	if strings.HasPrefix(p, "github.com/hajimehoshi/ebiten/") && file.Dir != "internal/window" {
		add("only internal/window imports ebiten, because any program that links it panics without a display")
	}
	if isOwn && own == "internal/window" && file.Dir != "cmd/foilwright" && file.Dir != "internal/window" {
		add("only cmd/foilwright imports the window, because any program that links it panics without a display")
	}
	if strings.HasPrefix(p, "golang.org/x/exp/") && file.File != "sim/num/stream.go" {
		add("golang.org/x/exp is deprecated and touched by sim/num/stream.go alone, so that one file changes if it goes")
	}
	switch {
	case under(file.Dir, "sim"):
		if isOwn && !under(own, "sim") && !(file.Test && own == "scenarios") {
			add("the simulation imports nothing of ours outside sim, so that it runs without app, files and display")
		}
		if file.Test {
			break
		}
		if why, bad := forbidden(p); bad {
			breaches = append(breaches, importBreach{why, true})
		}
		allowed, known := simMayImport[file.Dir]
		if isOwn && under(own, "sim") && known && !slices.Contains(allowed, own) {
			add("a reading passes the packages of sim one way; " + file.Dir + " may import " + orNothing(allowed))
		}
	case under(file.Dir, "scenarios"):
		if isOwn && !under(own, "sim") && !under(own, "scenarios") {
			add("scenarios are data with a loader and may import only sim")
		}
	case under(file.Dir, "assets"):
		if isOwn && !under(own, "assets") {
			add("assets import nothing of ours")
		}
	case under(file.Dir, "internal"):
		if isOwn && under(own, "cmd") {
			add("programs are made of packages, not the other way round")
		}
	}
	return breaches
}

func orNothing(allowed []string) string {
	if len(allowed) == 0 {
		return "nothing of ours"
	}
	return strings.Join(allowed, ", ")
}

// CheckSimPackages finds packages of sim that have no row in the table of import directions, and rows without package.
func CheckSimPackages(t *Tree) []Finding {
	var found []Finding
	present := map[string]bool{}
	for _, file := range t.Files {
		if !under(file.Dir, "sim") || present[file.Dir] {
			continue
		}
		present[file.Dir] = true
		if _, known := simMayImport[file.Dir]; !known && !generator(file) {
			found = append(found, Finding{file.Dir, 0, "has no import direction", "every package of sim has a row in simMayImport"})
		}
	}
	for _, dir := range slices.Sorted(maps.Keys(simMayImport)) {
		if !present[dir] {
			found = append(found, Finding{dir, 0, "does not exist", "a rule for nothing checks nothing; remove its row from simMayImport"})
		}
	}
	return found
}

// generator reports whether a file belongs to a program, which a table generator below sim may be.
func generator(file Source) bool { return file.Syntax.Name.Name == "main" }

// CheckDesk finds ways by which the desk would link the window: it must start where there is no display.
func CheckDesk(t *Tree) []Finding {
	imports := map[string]map[string]string{} // folder -> imported folder -> file
	for _, file := range t.Files {
		if file.Test {
			continue
		}
		for _, spec := range file.Syntax.Imports {
			if own, ok := ownFolder(importPath(spec)); ok {
				if imports[file.Dir] == nil {
					imports[file.Dir] = map[string]string{}
				}
				imports[file.Dir][own] = file.File
			}
		}
	}
	const desk = "cmd/foilwright-desk"
	cameFrom := map[string]string{desk: ""}
	for queue := []string{desk}; len(queue) > 0; queue = queue[1:] {
		for _, next := range slices.Sorted(maps.Keys(imports[queue[0]])) {
			if _, seen := cameFrom[next]; seen {
				continue
			}
			cameFrom[next] = queue[0]
			queue = append(queue, next)
		}
	}
	if _, linked := cameFrom["internal/window"]; !linked {
		return nil
	}
	chain := "internal/window"
	for at := cameFrom["internal/window"]; at != ""; at = cameFrom[at] {
		chain = at + " -> " + chain
	}
	return []Finding{{desk, 0, "links the window: " + chain, "the desk must start without a display"}}
}
