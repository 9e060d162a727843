package design

import (
	"go.starlark.net/syntax"
)

// hiddenPrefix begins the names of the guarded operations; no file can spell it.
const hiddenPrefix = "·"

// instrument makes every operation of the file that could take much time or
// memory at once go through a guard (guard.go) that charges its cost first:
//
//	a * b        ·*(a, b)
//	a.name       ·get(a, "name")
//	a[i]         ·item(a, i)
//	a[i:j]       ·charge(a)[i:j]
//	f(*a)        f(*·charge(a))
//	{k: v}       {·key(k): v}
//	a += b       a = ·+=(a, b)
//
// It also notes where every call stands, so that a mistake can be shown at the
// argument that makes it.
func (l *loader) instrument(f *syntax.File) { (&rewriter{l}).block(f.Stmts) }

type rewriter struct{ l *loader }

// guard is a call of the guarded operation name at pos.
func guard(pos syntax.Position, name string, args ...syntax.Expr) syntax.Expr {
	return &syntax.CallExpr{
		Fn:     &syntax.Ident{NamePos: pos, Name: hiddenPrefix + name},
		Lparen: pos, Args: args, Rparen: pos,
	}
}

func (r *rewriter) block(ss []syntax.Stmt) {
	for i := range ss {
		ss[i] = r.stmt(ss[i])
	}
}

func (r *rewriter) stmt(s syntax.Stmt) syntax.Stmt {
	switch s := s.(type) {
	case *syntax.AssignStmt:
		return r.assign(s)
	case *syntax.DefStmt:
		r.l.params[s.Name.Name] = parameters(s.Params)
		r.params(s.Params)
		r.block(s.Body)
	case *syntax.ExprStmt:
		s.X = r.expr(s.X)
	case *syntax.ForStmt:
		r.target(s.Vars)
		s.X = r.expr(s.X)
		r.block(s.Body)
	case *syntax.WhileStmt:
		s.Cond = r.expr(s.Cond)
		r.block(s.Body)
	case *syntax.IfStmt:
		s.Cond = r.expr(s.Cond)
		r.block(s.True)
		r.block(s.False)
	case *syntax.ReturnStmt:
		if s.Result != nil {
			s.Result = r.expr(s.Result)
		}
	}
	return s
}

// assign guards an assignment. One that adds in place becomes a plain one; what
// stands in its index is then looked at twice, which in a language without side
// effects of looking is the same.
func (r *rewriter) assign(s *syntax.AssignStmt) syntax.Stmt {
	s.RHS = r.expr(s.RHS)
	if s.Op == syntax.EQ {
		r.target(s.LHS)
		return s
	}
	op := "augmented:" + (s.Op - syntax.PLUS_EQ + syntax.PLUS).String()
	lhs := s.LHS
	for p, ok := lhs.(*syntax.ParenExpr); ok; p, ok = lhs.(*syntax.ParenExpr) {
		lhs = p.X
	}
	switch x := lhs.(type) {
	case *syntax.Ident:
		s.RHS = guard(s.OpPos, op, &syntax.Ident{NamePos: x.NamePos, Name: x.Name}, s.RHS)
		s.Op = syntax.EQ
	case *syntax.IndexExpr:
		x.X, x.Y = r.expr(x.X), r.key(x.Y)
		return &syntax.ExprStmt{X: guard(s.OpPos, "item "+op, x.X, x.Y, s.RHS)}
	}
	return s
}

// target guards what stands on the left of an assignment.
func (r *rewriter) target(e syntax.Expr) {
	switch e := e.(type) {
	case *syntax.ParenExpr:
		r.target(e.X)
	case *syntax.TupleExpr:
		for _, x := range e.List {
			r.target(x)
		}
	case *syntax.ListExpr:
		for _, x := range e.List {
			r.target(x)
		}
	case *syntax.IndexExpr:
		e.X, e.Y = r.expr(e.X), r.key(e.Y)
	case *syntax.DotExpr:
		e.X = r.expr(e.X)
	}
}

// key guards a value that is looked up in a table.
func (r *rewriter) key(e syntax.Expr) syntax.Expr {
	if _, ok := e.(*syntax.Literal); ok {
		return e
	}
	return guard(syntax.Start(e), "key", r.expr(e))
}

func (r *rewriter) list(es []syntax.Expr) {
	for i := range es {
		es[i] = r.expr(es[i])
	}
}

// parameters are the names of the parameters of a function.
func parameters(ps []syntax.Expr) []string {
	var ns []string
	for _, p := range ps {
		if b, ok := p.(*syntax.BinaryExpr); ok {
			p = b.X
		}
		if id, ok := p.(*syntax.Ident); ok {
			ns = append(ns, id.Name)
		}
	}
	return ns
}

// params guards the defaults of parameters.
func (r *rewriter) params(ps []syntax.Expr) {
	for _, p := range ps {
		if b, ok := p.(*syntax.BinaryExpr); ok {
			b.Y = r.expr(b.Y)
		}
	}
}

func (r *rewriter) expr(e syntax.Expr) syntax.Expr {
	switch e := e.(type) {
	case *syntax.BinaryExpr:
		e.X, e.Y = r.expr(e.X), r.expr(e.Y)
		if e.Op == syntax.AND || e.Op == syntax.OR {
			return e
		}
		return guard(e.OpPos, e.Op.String(), e.X, e.Y)
	case *syntax.CallExpr:
		r.call(e)
	case *syntax.Comprehension:
		r.comprehension(e)
	case *syntax.CondExpr:
		e.Cond, e.True, e.False = r.expr(e.Cond), r.expr(e.True), r.expr(e.False)
	case *syntax.DictEntry:
		e.Key, e.Value = r.key(e.Key), r.expr(e.Value)
	case *syntax.DictExpr:
		r.list(e.List)
	case *syntax.DotExpr:
		at := e.Name.NamePos
		return guard(at, "get", r.expr(e.X), &syntax.Literal{
			Token: syntax.STRING, TokenPos: at, Raw: `"` + e.Name.Name + `"`, Value: e.Name.Name,
		})
	case *syntax.IndexExpr:
		return guard(e.Lbrack, "item", r.expr(e.X), r.expr(e.Y))
	case *syntax.LambdaExpr:
		r.params(e.Params)
		e.Body = r.expr(e.Body)
	case *syntax.ListExpr:
		r.list(e.List)
	case *syntax.ParenExpr:
		e.X = r.expr(e.X)
	case *syntax.SliceExpr:
		r.slice(e)
	case *syntax.TupleExpr:
		r.list(e.List)
	case *syntax.UnaryExpr:
		e.X = r.expr(e.X)
	}
	return e
}

func (r *rewriter) slice(e *syntax.SliceExpr) {
	e.X = guard(e.Lbrack, "charge", r.expr(e.X))
	for _, p := range []*syntax.Expr{&e.Lo, &e.Hi, &e.Step} {
		if *p != nil {
			*p = r.expr(*p)
		}
	}
}

func (r *rewriter) call(e *syntax.CallExpr) {
	p := toPos(e.Lparen)
	r.l.calls[place{p.File, p.Line, p.Col}] = siteOf(e)
	e.Fn = r.expr(e.Fn)
	for i, a := range e.Args {
		switch a := a.(type) {
		case *syntax.BinaryExpr:
			if a.Op == syntax.EQ {
				// name = value; the name stays
				e.Args[i] = &syntax.BinaryExpr{X: a.X, OpPos: a.OpPos, Op: a.Op, Y: r.expr(a.Y)}
				continue
			}
		case *syntax.UnaryExpr:
			if a.Op == syntax.STAR || a.Op == syntax.STARSTAR {
				e.Args[i] = &syntax.UnaryExpr{OpPos: a.OpPos, Op: a.Op, X: guard(a.OpPos, "charge", r.expr(a.X))}
				continue
			}
		}
		e.Args[i] = r.expr(a)
	}
}

// siteOf notes where a call and its arguments stand.
func siteOf(e *syntax.CallExpr) site {
	s := site{start: toPos(syntax.Start(e))}
	switch fn := e.Fn.(type) {
	case *syntax.Ident:
		s.callee = fn.Name
	case *syntax.DotExpr:
		s.start = toPos(fn.Name.NamePos)
	}
	for _, a := range e.Args {
		switch a := a.(type) {
		case *syntax.BinaryExpr:
			if id, ok := a.X.(*syntax.Ident); ok && a.Op == syntax.EQ {
				s.args = append(s.args, siteArg{id.Name, toPos(id.NamePos)})
				continue
			}
		case *syntax.UnaryExpr:
			if a.Op == syntax.STAR || a.Op == syntax.STARSTAR {
				return s // what follows stands where it stands
			}
		}
		s.args = append(s.args, siteArg{"", toPos(syntax.Start(a))})
	}
	return s
}

func (r *rewriter) comprehension(e *syntax.Comprehension) {
	e.Body = r.expr(e.Body)
	for _, c := range e.Clauses {
		switch c := c.(type) {
		case *syntax.ForClause:
			r.target(c.Vars)
			c.X = r.expr(c.X)
		case *syntax.IfClause:
			c.Cond = r.expr(c.Cond)
		}
	}
}
