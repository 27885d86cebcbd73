package archtest

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
)

const whyFused = "on some processors the compiler fuses it into one operation with one rounding; write float64(a*b)"

// CheckFused finds floating-point products that are added or subtracted without a conversion between, directly or
// through a local variable. The Go specification ("Floating-point operators") allows their fusion and says that an
// explicit conversion forbids it.
//
// Fusion through an inlined function's result or a field is not seen here; .ci/test looks for it in the compiled code.
func CheckFused(packages []*TypedPackage, exempt Exemptions) []Finding {
	var found []Finding
	for _, p := range packages {
		for _, file := range p.Files {
			name := p.Lines.Position(file.Pos()).Filename
			if exempt.covers(name) {
				continue
			}
			f := fusion{p: p, file: name, products: map[types.Object]token.Pos{}}
			ast.Inspect(file, f.note)
			ast.Inspect(file, f.visit)
			found = append(found, f.found...)
		}
	}
	return found
}

type fusion struct {
	p        *TypedPackage
	file     string
	products map[types.Object]token.Pos // variables that hold a bare product, and where they got it
	found    []Finding
}

// note collects the variables that are given a bare product.
func (f *fusion) note(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.AssignStmt:
		switch {
		case n.Tok == token.MUL_ASSIGN:
			f.hold(n.Lhs[0], n.TokPos)
		case (n.Tok == token.ASSIGN || n.Tok == token.DEFINE) && len(n.Lhs) == len(n.Rhs):
			for i, value := range n.Rhs {
				if f.isProduct(value) {
					f.hold(n.Lhs[i], value.Pos())
				}
			}
		}
	case *ast.ValueSpec:
		if len(n.Names) == len(n.Values) {
			for i, value := range n.Values {
				if f.isProduct(value) {
					f.hold(n.Names[i], value.Pos())
				}
			}
		}
	}
	return true
}

func (f *fusion) hold(target ast.Expr, at token.Pos) {
	id, ok := ast.Unparen(target).(*ast.Ident)
	if !ok || !isFloat(f.p.Info.TypeOf(target)) {
		return
	}
	if v := f.object(id); v != nil {
		f.products[v] = at
	}
}

func (f *fusion) object(id *ast.Ident) types.Object {
	if o := f.p.Info.Defs[id]; o != nil {
		return o
	}
	return f.p.Info.Uses[id]
}

func (f *fusion) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if (n.Op == token.ADD || n.Op == token.SUB) && isFloat(f.p.Info.TypeOf(n)) && f.p.Info.Types[n].Value == nil {
			f.operand(n.X)
			f.operand(n.Y)
		}
	case *ast.AssignStmt:
		if (n.Tok == token.ADD_ASSIGN || n.Tok == token.SUB_ASSIGN) && isFloat(f.p.Info.TypeOf(n.Lhs[0])) {
			f.operand(n.Lhs[0])
			f.operand(n.Rhs[0])
		}
	case *ast.IncDecStmt:
		if isFloat(f.p.Info.TypeOf(n.X)) {
			f.operand(n.X)
		}
	}
	return true
}

// operand looks at one side of a sum.
func (f *fusion) operand(e ast.Expr) {
	line := f.p.Lines.Position(e.Pos()).Line
	e = unsigned(e)
	if f.isProduct(e) {
		f.found = append(f.found, Finding{f.file, line, "adds or subtracts the bare product " + types.ExprString(e), whyFused})
		return
	}
	id, ok := e.(*ast.Ident)
	if !ok {
		return
	}
	if at, holds := f.products[f.object(id)]; holds {
		f.found = append(f.found, Finding{f.file, line,
			fmt.Sprintf("adds or subtracts %s, which holds the bare product of line %d", id.Name, f.p.Lines.Position(at).Line), whyFused})
	}
}

// isProduct reports whether an expression is a floating-point product that is computed at run time and not rounded by
// a conversion.
func (f *fusion) isProduct(e ast.Expr) bool {
	b, ok := unsigned(e).(*ast.BinaryExpr)
	return ok && b.Op == token.MUL && isFloat(f.p.Info.TypeOf(b)) && f.p.Info.Types[b].Value == nil
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
