package archtest

import (
	"go/ast"
	"go/token"
	"go/types"
	"slices"
)

// exactMath are the functions of package math that give the same bits on every machine: they only move bits, or are
// rounded correctly by definition. All others have assembly on some processor, or Go code the compiler may fuse.
var exactMath = []string{
	"Abs", "Ceil", "Copysign", "FMA", "Float32bits", "Float32frombits", "Float64bits", "Float64frombits", "Floor",
	"Frexp", "Inf", "IsInf", "IsNaN", "Ldexp", "Max", "Min", "Mod", "Modf", "NaN", "Nextafter", "Round", "RoundToEven",
	"Signbit", "Sqrt", "Trunc",
}

// unordered are the functions that hand out a map's content in an order that changes from run to run.
var unordered = []string{"maps.All", "maps.Keys", "maps.Values"}

// sorters put it in order again.
var sorters = []string{"slices.Sorted", "slices.SortedFunc", "slices.SortedStableFunc"}

const (
	whyBits  = "the same log must give the same bits on every machine"
	whyOrder = "the order of a map's entries changes from run to run"
)

// CheckPure finds calls and statements by which results would depend on the machine, the clock or chance.
func CheckPure(packages []*TypedPackage, exempt Exemptions) []Finding {
	var found []Finding
	for _, p := range packages {
		for _, file := range p.Files {
			name := p.Lines.Position(file.Pos()).Filename
			if exempt.covers(name) {
				continue
			}
			v := purity{p: p, file: name, sorted: map[ast.Expr]bool{}}
			ast.Inspect(file, v.visit)
			found = append(found, v.found...)
			found = append(found, usesOfExempt(p, file, name, exempt)...)
		}
	}
	return found
}

type purity struct {
	p      *TypedPackage
	file   string
	sorted map[ast.Expr]bool // arguments of the sorters
	found  []Finding
}

func (v *purity) add(at token.Pos, what, why string) {
	v.found = append(v.found, Finding{v.file, v.p.Lines.Position(at).Line, what, why})
}

func (v *purity) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.GoStmt:
		v.add(n.Pos(), "go statement", "the simulation runs in one goroutine")
	case *ast.SelectStmt:
		v.add(n.Pos(), "select statement", "the simulation runs in one goroutine")
	case *ast.ChanType:
		v.add(n.Pos(), "channel", "the simulation runs in one goroutine")
	case *ast.RangeStmt:
		if t := v.p.Info.TypeOf(n.X); t != nil {
			if _, isMap := t.Underlying().(*types.Map); isMap {
				v.add(n.Pos(), "ranges over a map", whyOrder+"; range over slices.Sorted(maps.Keys(m))")
			}
		}
	case *ast.BinaryExpr:
		if (n.Op == token.MUL || n.Op == token.QUO) && isComplex(v.p.Info.TypeOf(n)) && v.p.Info.Types[n].Value == nil {
			v.add(n.OpPos, "complex "+n.Op.String(), whyBits+"; use num.Mul, num.Scale or num.Div")
		}
	case *ast.AssignStmt:
		if (n.Tok == token.MUL_ASSIGN || n.Tok == token.QUO_ASSIGN) && isComplex(v.p.Info.TypeOf(n.Lhs[0])) {
			v.add(n.TokPos, "complex "+n.Tok.String(), whyBits+"; use num.Mul, num.Scale or num.Div")
		}
	case *ast.CallExpr:
		if slices.Contains(sorters, v.called(n)) && len(n.Args) > 0 {
			v.sorted[ast.Unparen(n.Args[0])] = true
		}
		if name := v.called(n); slices.Contains(unordered, name) && !v.sorted[n] {
			v.add(n.Pos(), name+" outside slices.Sorted", whyOrder)
		}
	case *ast.Ident:
		if f, ok := v.p.Info.Uses[n].(*types.Func); ok && f.Pkg() != nil {
			switch pkg := f.Pkg().Path(); {
			case pkg == "math" && !slices.Contains(exactMath, f.Name()):
				v.add(n.Pos(), "math."+f.Name(), whyBits+"; use sim/num")
			case pkg == "math/cmplx" && f.Name() != "Conj" && f.Name() != "Inf" && f.Name() != "IsInf" &&
				f.Name() != "IsNaN" && f.Name() != "NaN":
				v.add(n.Pos(), "cmplx."+f.Name(), whyBits+"; use sim/num")
			}
		}
	}
	return true
}

// called returns the name of the package function that a call calls, "slices.Sorted", or "".
func (v *purity) called(call *ast.CallExpr) string {
	fun := ast.Unparen(call.Fun)
	if index, ok := fun.(*ast.IndexExpr); ok {
		fun = index.X
	}
	selector, ok := fun.(*ast.SelectorExpr)
	if !ok {
		return ""
	}
	f, ok := v.p.Info.Uses[selector.Sel].(*types.Func)
	if !ok || f.Pkg() == nil {
		return ""
	}
	return f.Pkg().Name() + "." + f.Name()
}

// usesOfExempt finds where a file on the path uses something declared in a file that is exempt as being off it.
func usesOfExempt(p *TypedPackage, file *ast.File, name string, exempt Exemptions) []Finding {
	var found []Finding
	ast.Inspect(file, func(n ast.Node) bool {
		id, ok := n.(*ast.Ident)
		if !ok {
			return true
		}
		used, ok := p.Info.Uses[id].(*types.Func)
		if !ok {
			return true
		}
		if home := p.Lines.Position(used.Pos()).Filename; home != name && exempt.covers(home) {
			found = append(found, Finding{name, p.Lines.Position(id.Pos()).Line, "uses " + used.Name() + " of " + home,
				"that file is exempt from the rules about numbers, so no reading may pass through it"})
		}
		return true
	})
	return found
}

func isFloat(t types.Type) bool   { return basicInfo(t)&types.IsFloat != 0 }
func isComplex(t types.Type) bool { return basicInfo(t)&types.IsComplex != 0 }

func basicInfo(t types.Type) types.BasicInfo {
	if t == nil {
		return 0
	}
	b, ok := t.Underlying().(*types.Basic)
	if !ok {
		return 0
	}
	return b.Info()
}
