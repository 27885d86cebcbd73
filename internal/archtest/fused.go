package archtest

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"math"
)

const whyFused = "on some processors the compiler fuses it into one operation with one rounding; write float64(a*b) where the product is made"

// CheckFused finds floating-point products that are added or subtracted without a conversion between. The Go
// specification ("Floating-point operators") allows their fusion, across statements too, and says that an explicit
// conversion forbids it. A product is followed through variables, fields, the results of functions (which may be
// inlined) and the parts of complex numbers. Products by a constant power of two are exact, and so are let pass.
//
// A field is followed within one function, since the compiler sees through memory no further. A product that is an
// argument, and summed inside an inlined function, is not seen; nor is one that lies in a slice. internal/determinism
// would see the difference.
func CheckFused(packages []*TypedPackage, exempt Exemptions) []Finding {
	f := &fusion{
		products: map[place]token.Position{},
		results:  map[result]token.Position{},
	}
	// Each round follows products one step further.
	for known := -1; known != len(f.products)+len(f.results); {
		known = len(f.products) + len(f.results)
		f.each(packages, nil, (*fusion).note)
	}
	f.each(packages, exempt, (*fusion).visit)
	return f.found
}

// place is a variable, or a field as one function sees it.
type place struct {
	object types.Object
	within ast.Node
}

// result is one of the values a function returns.
type result struct {
	of    types.Object
	index int
}

type fusion struct {
	p        *TypedPackage
	function []ast.Node                // the functions around the present node, literals too
	products map[place]token.Position  // variables and fields that hold a bare product, and where they got it
	results  map[result]token.Position // functions that return one
	found    []Finding
}

// each walks all files that are not exempt, with the functions around each node at hand.
func (f *fusion) each(packages []*TypedPackage, exempt Exemptions, do func(*fusion, ast.Node)) {
	for _, p := range packages {
		f.p = p
		for _, file := range p.Files {
			if exempt.covers(p.Lines.Position(file.Pos()).Filename) {
				continue
			}
			var open []ast.Node
			ast.Inspect(file, func(n ast.Node) bool {
				if n == nil {
					if len(f.function) > 0 && f.function[len(f.function)-1] == open[len(open)-1] {
						f.function = f.function[:len(f.function)-1]
					}
					open = open[:len(open)-1]
					return true
				}
				open = append(open, n)
				switch n.(type) {
				case *ast.FuncDecl, *ast.FuncLit:
					f.function = append(f.function, n)
				}
				do(f, n)
				return true
			})
		}
	}
}

// note collects the variables, fields and results that are given a bare product.
func (f *fusion) note(n ast.Node) {
	switch n := n.(type) {
	case *ast.AssignStmt:
		switch {
		case n.Tok == token.MUL_ASSIGN:
			if isFloat(f.p.Info.TypeOf(n.Lhs[0])) && !f.isExactFactor(n.Rhs[0]) {
				f.hold(n.Lhs[0], n.TokPos)
			}
		case n.Tok == token.ASSIGN || n.Tok == token.DEFINE:
			f.pair(n.Lhs, n.Rhs)
		}
	case *ast.ValueSpec:
		var names []ast.Expr
		for _, name := range n.Names {
			names = append(names, name)
		}
		f.pair(names, n.Values)
	case *ast.KeyValueExpr:
		if f.isProduct(n.Value) {
			f.hold(n.Key, n.Value.Pos())
		}
	case *ast.ReturnStmt:
		f.noteReturn(n)
	}
}

// pair hands values to the targets of an assignment.
func (f *fusion) pair(targets, values []ast.Expr) {
	if len(targets) == len(values) {
		for i, value := range values {
			if f.isProduct(value) {
				f.hold(targets[i], value.Pos())
			}
		}
	} else if len(values) == 1 {
		for i := range targets {
			if at, ok := f.resultOf(values[0], i); ok {
				f.holdAt(targets[i], at)
			}
		}
	}
}

func (f *fusion) hold(target ast.Expr, at token.Pos) { f.holdAt(target, f.p.Lines.Position(at)) }

func (f *fusion) holdAt(target ast.Expr, at token.Position) {
	if v := f.place(target); v.object != nil {
		if _, known := f.products[v]; !known {
			f.products[v] = at
		}
	}
}

// place returns the variable or field an expression names; its object is nil for anything else.
func (f *fusion) place(e ast.Expr) place {
	e = ast.Unparen(e)
	if selector, ok := e.(*ast.SelectorExpr); ok {
		e = selector.Sel
	}
	id, ok := e.(*ast.Ident)
	if !ok {
		return place{}
	}
	v, ok := f.p.Info.ObjectOf(id).(*types.Var)
	switch {
	case !ok:
		return place{}
	case v.IsField() && len(f.function) > 0:
		return place{v, f.function[0]}
	}
	return place{v, nil}
}

func (f *fusion) noteReturn(n *ast.ReturnStmt) {
	if len(f.function) == 0 {
		return
	}
	declared, ok := f.function[len(f.function)-1].(*ast.FuncDecl)
	if !ok {
		return
	}
	of := f.p.Info.Defs[declared.Name]
	note := func(index int, at token.Position) {
		if _, known := f.results[result{of, index}]; !known {
			f.results[result{of, index}] = at
		}
	}
	switch {
	case len(n.Results) == 0 && declared.Type.Results != nil:
		index := 0
		for _, field := range declared.Type.Results.List {
			for _, name := range field.Names {
				if at, holds := f.products[place{f.p.Info.Defs[name], nil}]; holds {
					note(index, at)
				}
				index++
			}
		}
	case len(n.Results) == 1:
		for i := range 4 { // a call handed on with all its values
			if at, ok := f.resultOf(n.Results[0], i); ok {
				note(i, at)
			}
		}
		if f.isProduct(n.Results[0]) {
			note(0, f.p.Lines.Position(n.Results[0].Pos()))
		}
	default:
		for i, value := range n.Results {
			if f.isProduct(value) {
				note(i, f.p.Lines.Position(value.Pos()))
			}
		}
	}
}

// resultOf reports whether an expression is a call of a function whose result of that index is a bare product.
func (f *fusion) resultOf(e ast.Expr, index int) (token.Position, bool) {
	call, ok := ast.Unparen(e).(*ast.CallExpr)
	if !ok {
		return token.Position{}, false
	}
	fun := ast.Unparen(call.Fun)
	if selector, ok := fun.(*ast.SelectorExpr); ok {
		fun = selector.Sel
	}
	id, ok := fun.(*ast.Ident)
	if !ok {
		return token.Position{}, false
	}
	at, holds := f.results[result{f.p.Info.Uses[id], index}]
	return at, holds
}

func (f *fusion) visit(n ast.Node) {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if (n.Op == token.ADD || n.Op == token.SUB) && f.isSummed(n) && f.p.Info.Types[n].Value == nil {
			f.operand(n.X)
			f.operand(n.Y)
		}
	case *ast.AssignStmt:
		if (n.Tok == token.ADD_ASSIGN || n.Tok == token.SUB_ASSIGN) && f.isSummed(n.Lhs[0]) {
			f.operand(n.Lhs[0])
			f.operand(n.Rhs[0])
		}
	case *ast.IncDecStmt:
		if f.isSummed(n.X) {
			f.operand(n.X)
		}
	}
}

func (f *fusion) isSummed(e ast.Expr) bool {
	t := f.p.Info.TypeOf(e)
	return isFloat(t) || isComplex(t)
}

// operand looks at one side of a sum.
func (f *fusion) operand(e ast.Expr) {
	if !f.isProduct(e) {
		return
	}
	at := f.p.Lines.Position(e.Pos())
	e = unsigned(e)
	what := "adds or subtracts "
	switch source, whence := f.origin(e); {
	case whence == "":
		what += "the bare product " + types.ExprString(e)
	case source.Filename == at.Filename:
		what += fmt.Sprintf("%s, which %s the bare product of line %d", types.ExprString(e), whence, source.Line)
	default:
		what += fmt.Sprintf("%s, which %s the bare product of %s:%d", types.ExprString(e), whence, source.Filename, source.Line)
	}
	f.found = append(f.found, Finding{at.Filename, at.Line, what, whyFused})
}

// origin tells where the product that an expression stands for was made, and by which way it came.
func (f *fusion) origin(e ast.Expr) (at token.Position, whence string) {
	if at, ok := f.resultOf(e, 0); ok {
		return at, "returns"
	}
	if at, ok := f.products[f.place(e)]; ok {
		return at, "holds"
	}
	return token.Position{}, ""
}

// isProduct reports whether an expression may be a floating-point product computed at run time and not rounded by a
// conversion.
func (f *fusion) isProduct(e ast.Expr) bool {
	e = unsigned(e)
	if f.p.Info.Types[e].Value != nil {
		return false
	}
	switch e := e.(type) {
	case *ast.BinaryExpr:
		return e.Op == token.MUL && isFloat(f.p.Info.TypeOf(e)) && !f.isExactFactor(e.X) && !f.isExactFactor(e.Y)
	case *ast.CallExpr:
		if id, ok := ast.Unparen(e.Fun).(*ast.Ident); ok {
			if b, ok := f.p.Info.Uses[id].(*types.Builtin); ok && (b.Name() == "complex" || b.Name() == "real" || b.Name() == "imag") {
				for _, part := range e.Args {
					if f.isProduct(part) {
						return true
					}
				}
				return false
			}
		}
	}
	_, whence := f.origin(e)
	return whence != ""
}

// isExactFactor reports whether an expression is a constant power of two, by which a product is exact.
func (f *fusion) isExactFactor(e ast.Expr) bool {
	value := f.p.Info.Types[e].Value
	if value == nil || value.Kind() != constant.Int && value.Kind() != constant.Float {
		return false
	}
	v, _ := constant.Float64Val(value)
	fraction, exponent := math.Frexp(math.Abs(v))
	return fraction == 0.5 && exponent > -64 && exponent < 64
}

// unsigned takes brackets and signs off, none of which rounds.
func unsigned(e ast.Expr) ast.Expr {
	for {
		e = ast.Unparen(e)
		u, ok := e.(*ast.UnaryExpr)
		if !ok || u.Op != token.SUB && u.Op != token.ADD {
			return e
		}
		e = u.X
	}
}
