// Package gather reads from the code what there is to translate, and finds what is shown without being looked up. It
// makes the template of the translators and is the test that the template is complete.
package gather

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"path"
	"slices"
	"strings"

	"foilwright/internal/archtest"
)

// Entry is a text of the bench, as it stands in the code.
type Entry struct {
	One   string
	Many  string   // for other numbers than one; "" where no number decides
	Files []string // where it is used, in order
}

// Found is what the code holds.
type Found struct {
	Entries []Entry // in the order of their texts
	Faults  []archtest.Finding
}

// shown lists the packages whose words a trainee sees.
var shown = []string{"internal/picture", "internal/screens"}

const sayPath = "foilwright/internal/say"

// Read reads the repository below root.
func Read(root string) (*Found, error) {
	tree, err := archtest.ReadTree(root)
	if err != nil {
		return nil, err
	}
	g := gatherer{entries: map[[2]string]*Entry{}, found: &Found{}}
	packages, err := archtest.LoadTyped(tree, shown...)
	if err != nil {
		return nil, err
	}
	for _, p := range packages {
		for _, f := range p.Files {
			g.file(p, f)
		}
	}
	for _, e := range g.entries {
		slices.Sort(e.Files)
		e.Files = slices.Compact(e.Files)
		g.found.Entries = append(g.found.Entries, *e)
	}
	slices.SortFunc(g.found.Entries, func(a, b Entry) int { return strings.Compare(a.One, b.One) })
	archtest.SortFindings(g.found.Faults)
	return g.found, nil
}

type gatherer struct {
	entries map[[2]string]*Entry
	found   *Found
	p       *archtest.TypedPackage
	parents []ast.Node
	paired  map[ast.Expr]bool // the texts of a call of N, noted together
}

func (g *gatherer) fault(at token.Pos, format string, args ...any) {
	p := g.p.Lines.Position(at)
	g.found.Faults = append(g.found.Faults, archtest.Finding{File: p.Filename, Line: p.Line, What: fmt.Sprintf(format, args...), Why: "every word of the bench can be put into another language"})
}

func (g *gatherer) file(p *archtest.TypedPackage, f *ast.File) {
	g.p, g.paired = p, map[ast.Expr]bool{}
	ast.Inspect(f, func(n ast.Node) bool {
		if n == nil {
			g.parents = g.parents[:len(g.parents)-1]
			return false
		}
		switch x := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			if x.Tag != nil {
				return false
			}
		case *ast.CallExpr:
			g.call(x)
		case *ast.BasicLit, *ast.BinaryExpr:
			g.constant(x.(ast.Expr))
		}
		g.parents = append(g.parents, n)
		return true
	})
}

// text is the value of a constant string, and whether it is one.
func (g *gatherer) text(e ast.Expr) (string, bool) {
	v := g.p.Info.Types[e].Value
	if v == nil || v.Kind() != constant.String {
		return "", false
	}
	return constant.StringVal(v), true
}

// isText reports whether an expression is of the type of what is looked up.
func (g *gatherer) isText(e ast.Expr) bool {
	named, ok := g.p.Info.Types[e].Type.(*types.Named)
	return ok && named.Obj().Name() == "Text" && named.Obj().Pkg() != nil && named.Obj().Pkg().Path() == sayPath
}

func (g *gatherer) note(at token.Pos, one, many string) {
	key := [2]string{one, many}
	e := g.entries[key]
	if e == nil {
		e = &Entry{One: one, Many: many}
		g.entries[key] = e
	}
	e.Files = append(e.Files, path.Clean(g.p.Lines.Position(at).Filename))
}

// constant notes a string of the code: one to be looked up, or one that should be.
func (g *gatherer) constant(e ast.Expr) {
	s, ok := g.text(e)
	if !ok || g.paired[e] {
		return
	}
	if len(g.parents) > 0 {
		// Of a chain of literals the whole counts.
		if chain, ok := g.parents[len(g.parents)-1].(*ast.BinaryExpr); ok && chain.Op == token.ADD && (g.paired[chain] || g.isConstant(chain)) {
			g.paired[e] = g.paired[chain]
			return
		}
	}
	switch {
	case g.isText(e):
		if s != "" {
			g.note(e.Pos(), s, "")
		}
	case g.isString(e) && reads(s) && !g.excused(e, s):
		g.fault(e.Pos(), "%q is shown, or looks so, and is not looked up: use say.T, or type it say.Text", s)
	}
}

// isString reports whether an expression is a plain string, and not the key of something.
func (g *gatherer) isString(e ast.Expr) bool {
	b, ok := g.p.Info.Types[e].Type.(*types.Basic)
	return ok && b.Info()&types.IsString != 0
}

func (g *gatherer) isConstant(e ast.Expr) bool {
	_, ok := g.text(e)
	return ok
}

// excused reports whether a string that reads like a label is none where it stands: it is compared with, or is the key
// of a map.
func (g *gatherer) excused(e ast.Expr, s string) bool {
	if notWords[s] {
		return true
	}
	if len(g.parents) == 0 {
		return false
	}
	switch p := g.parents[len(g.parents)-1].(type) {
	case *ast.BinaryExpr:
		return p.Op == token.EQL || p.Op == token.NEQ
	case *ast.CaseClause:
		return true
	case *ast.KeyValueExpr:
		return p.Key == e
	case *ast.CallExpr:
		f, ok := g.callee(p)
		return ok && f.Pkg() != nil && f.Pkg().Path() == "strings" // it is looked for, not shown
	}
	return false
}

// call checks the use of say, and what is handed to be drawn.
func (g *gatherer) call(c *ast.CallExpr) {
	if g.p.Info.Types[c.Fun].IsType() {
		if len(c.Args) == 1 && g.isText(c.Args[0]) && !g.isText(c) {
			g.fault(c.Pos(), "a say.Text is turned into a string without being looked up: use say.T")
		}
		return
	}
	switch g.sayFunction(c) {
	case "T":
		if s, ok := g.text(c.Args[0]); ok {
			g.places(c, s, len(c.Args)-1)
		}
	case "N":
		one, ok1 := g.text(c.Args[1])
		many, ok2 := g.text(c.Args[2])
		if !ok1 || !ok2 {
			g.fault(c.Pos(), "the texts of say.N must be constants")
			return
		}
		g.paired[c.Args[1]], g.paired[c.Args[2]] = true, true
		g.note(c.Pos(), one, many)
		args := max(1, len(c.Args)-3)
		g.places(c, one, args)
		g.places(c, many, args)
	case "":
		g.drawn(c)
	}
}

// sayFunction is the name of the function of say that is called, or "".
func (g *gatherer) sayFunction(c *ast.CallExpr) string {
	if f, ok := g.callee(c); ok && f.Pkg() != nil && f.Pkg().Path() == sayPath {
		return f.Name()
	}
	return ""
}

// callee is the named function or method of another package that is called.
func (g *gatherer) callee(c *ast.CallExpr) (*types.Func, bool) {
	s, ok := c.Fun.(*ast.SelectorExpr)
	if !ok {
		return nil, false
	}
	f, ok := g.p.Info.Uses[s.Sel].(*types.Func)
	return f, ok
}

// places holds a text against the number of its arguments.
func (g *gatherer) places(c *ast.CallExpr, s string, args int) {
	if c.Ellipsis.IsValid() {
		return
	}
	n := 0
	for _, v := range Verbs(s) {
		if v != "%%" {
			n++
		}
	}
	if args == 0 {
		n = len(Verbs(s)) // they would be shown as they are
	}
	if n != args {
		g.fault(c.Pos(), "%q has %d placeholders and gets %d values", s, n, args)
	}
}

// drawn finds plain strings given for a parameter that is shown, however short they are.
func (g *gatherer) drawn(c *ast.CallExpr) {
	sig, ok := g.p.Info.Types[c.Fun].Type.(*types.Signature)
	if !ok {
		return
	}
	for i, arg := range c.Args {
		at := min(i, sig.Params().Len()-1)
		if at < 0 || !forShow[sig.Params().At(at).Name()] || g.isText(arg) {
			continue
		}
		if s, ok := g.text(arg); ok && hasWord(s) && !notWords[s] && !reads(s) {
			g.fault(arg.Pos(), "%q is drawn and is not looked up: use say.T", s)
		}
	}
}
