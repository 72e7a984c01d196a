package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/format"
	"go/token"
	"strconv"
)

// site is a place in a file where something can be got wrong. change gets it wrong and
// undo mends it again.
type site struct {
	pos          token.Pos
	what         string // "< becomes <="
	change, undo func()
}

// swapped are the operators that are mistaken for each other.
var swapped = map[token.Token]token.Token{
	token.ADD: token.SUB, token.SUB: token.ADD, token.MUL: token.QUO, token.QUO: token.MUL, token.REM: token.MUL,
	token.LSS: token.LEQ, token.LEQ: token.LSS, token.GTR: token.GEQ, token.GEQ: token.GTR,
	token.EQL: token.NEQ, token.NEQ: token.EQL, token.LAND: token.LOR, token.LOR: token.LAND,
	token.ADD_ASSIGN: token.SUB_ASSIGN, token.SUB_ASSIGN: token.ADD_ASSIGN, token.MUL_ASSIGN: token.QUO_ASSIGN, token.QUO_ASSIGN: token.MUL_ASSIGN,
}

// sites finds the places of a file.
func sites(f *ast.File) (out []site) {
	add := func(pos token.Pos, what string, change, undo func()) {
		out = append(out, site{pos, what, change, undo})
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GenDecl:
			return n.Tok != token.IMPORT
		case *ast.BinaryExpr:
			if is := n.Op; swapped[is] != 0 && !joinsTexts(n) {
				add(n.OpPos, fmt.Sprintf("%s becomes %s", is, swapped[is]), func() { n.Op = swapped[is] }, func() { n.Op = is })
			}
		case *ast.AssignStmt:
			if is := n.Tok; swapped[is] != 0 {
				add(n.TokPos, fmt.Sprintf("%s becomes %s", is, swapped[is]), func() { n.Tok = swapped[is] }, func() { n.Tok = is })
			}
		case *ast.UnaryExpr:
			if n.Op == token.SUB {
				add(n.OpPos, "- is lost", func() { n.Op = token.ADD }, func() { n.Op = token.SUB })
			}
		case *ast.BasicLit:
			if v, err := strconv.Atoi(n.Value); err == nil && n.Kind == token.INT && v < 1000 {
				is := n.Value
				add(n.ValuePos, fmt.Sprintf("%d becomes %d", v, v+1), func() { n.Value = strconv.Itoa(v + 1) }, func() { n.Value = is })
			}
		case *ast.IfStmt:
			is := n.Cond
			never := &ast.BinaryExpr{X: &ast.ParenExpr{X: is}, Op: token.LAND, Y: ast.NewIdent("false")}
			what := "the condition is never true"
			if tellsError(is) {
				what = "the error is swallowed"
			}
			add(n.If, what, func() { n.Cond = never }, func() { n.Cond = is })
		case *ast.BlockStmt:
			for i, s := range n.List {
				if !droppable(s) {
					continue
				}
				add(s.Pos(), "the statement is left out", func() { n.List[i] = &ast.EmptyStmt{Semicolon: s.Pos()} }, func() { n.List[i] = s })
			}
		}
		return true
	})
	return out
}

// droppable reports whether a statement can be left out without the compiler noticing.
func droppable(s ast.Stmt) bool {
	switch s := s.(type) {
	case *ast.ExprStmt, *ast.IncDecStmt, *ast.DeferStmt, *ast.GoStmt:
		return true
	case *ast.AssignStmt:
		return s.Tok != token.DEFINE
	case *ast.BranchStmt:
		return s.Label == nil
	}
	return false
}

// joinsTexts reports whether a + plainly joins texts, which have no -.
func joinsTexts(n *ast.BinaryExpr) bool {
	text := func(e ast.Expr) bool {
		switch e := e.(type) {
		case *ast.BasicLit:
			return e.Kind == token.STRING
		case *ast.BinaryExpr:
			return joinsTexts(e)
		}
		return false
	}
	return n.Op == token.ADD && (text(n.X) || text(n.Y))
}

// tellsError reports whether a condition is that there is an error.
func tellsError(cond ast.Expr) bool {
	b, ok := cond.(*ast.BinaryExpr)
	if !ok || b.Op != token.NEQ {
		return false
	}
	x, okX := b.X.(*ast.Ident)
	y, okY := b.Y.(*ast.Ident)
	return okX && okY && x.Name == "err" && y.Name == "nil"
}

// mutant returns the text of a file with one site got wrong.
func mutant(set *token.FileSet, f *ast.File, s site) ([]byte, error) {
	s.change()
	defer s.undo()
	var b bytes.Buffer
	err := format.Node(&b, set, f)
	return b.Bytes(), err
}
