package design

import (
	"fmt"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// A solid of more pieces than this, or one nested deeper, is refused: no box
// needs it, and everything after the design walks the pieces one by one.
const (
	maxLeaves = 20000
	maxDepth  = 200
)

// leaf makes a solid of one primitive.
func (c *call) leaf(p mechanism.Primitive) starlark.Value {
	if c.failed {
		return c.standIn()
	}
	return &solid{opaque{"solid"}, &mechanism.Shape{Op: mechanism.Leaf, Prim: p, Pos: c.pos}, 1, 1}
}

// standIn is the result of a call that failed.
func (c *call) standIn() starlark.Value { return unknown{} }

// operation makes a solid of solids, and reports one that is too large.
func (l *loader) operation(op mechanism.Op, pos mechanism.Pos, args ...*solid) starlark.Value {
	s := &solid{opaque{"solid"}, &mechanism.Shape{Op: op, Pos: pos}, 0, 0}
	for i, a := range args {
		s.shape.Args = append(s.shape.Args, a.shape)
		s.leaves += a.leaves
		d := a.depth + 1
		// Joins of joins are flattened when the part is made, and so are cuts.
		if (op == mechanism.Join || (op == mechanism.Cut && i == 0)) && a.shape.Op == op {
			d = a.depth
		}
		s.depth = max(s.depth, d)
	}
	if s.leaves > maxLeaves || s.depth > maxDepth {
		l.reportf(pos, "use fewer repeats", "the solid has too many pieces: %d, %d deep; the most are %d and %d",
			s.leaves, s.depth, maxLeaves, maxDepth)
		return unknown{}
	}
	return s
}

// moved places a solid; a solid placed twice is placed once.
func (l *loader) moved(s *solid, m geom.Motion, pos mechanism.Pos) *solid {
	inner := s.shape
	if inner.Op == mechanism.Place {
		m, inner = inner.Move.Then(m), inner.Args[0]
		return &solid{opaque{"solid"}, &mechanism.Shape{Op: mechanism.Place, Args: []*mechanism.Shape{inner}, Move: m, Pos: pos}, s.leaves, s.depth}
	}
	return &solid{opaque{"solid"}, &mechanism.Shape{Op: mechanism.Place, Args: []*mechanism.Shape{inner}, Move: m, Pos: pos}, s.leaves, s.depth + 1}
}

// combine gives x op y where the language gives the operator a meaning of its
// own: solids are joined, cut and intersected, outlines are given holes.
func (l *loader) combine(th *starlark.Thread, op syntax.Token, x, y starlark.Value) (starlark.Value, bool) {
	if op == syntax.EQL || op == syntax.NEQ || op == syntax.IN || op == syntax.NOT_IN {
		return nil, false
	}
	a, okA := x.(*solid)
	b, okB := y.(*solid)
	oa, outA := x.(*outline)
	ob, outB := y.(*outline)
	if !okA && !okB && !outA && !outB {
		return nil, false
	}
	pos, via := l.caller(th)
	ops := map[syntax.Token]mechanism.Op{syntax.PLUS: mechanism.Join, syntax.MINUS: mechanism.Cut, syntax.AMP: mechanism.Common}
	meaning, known := ops[op]
	switch {
	case outA && outB && op == syntax.MINUS:
		return l.hole(pos, oa, ob), true
	case okA && okB && known:
		l.charge(th, wordCost)
		return l.operation(meaning, pos, a, b), true
	}
	advice := "solids go with solids: + joins, - cuts, & keeps what is common"
	if outA || outB {
		advice = "make a solid of the outline first with prism(...) or revolved(...); between outlines only - has a meaning, a hole"
	}
	l.report(Problem{
		Pos: pos, Via: via, Advice: advice,
		Message: fmt.Sprintf("%s and %s do not go together with %s", describe(x), describe(y), op),
	})
	return unknown{}, true
}

// flatten gives the same shape with joins of joins and cuts of cuts made one,
// so that a body put together in a loop is not as deep as the loop is long.
func flatten(s *mechanism.Shape, seen map[*mechanism.Shape]*mechanism.Shape) *mechanism.Shape {
	if s.Op == mechanism.Leaf {
		return s
	}
	if f := seen[s]; f != nil {
		return f
	}
	var spine []*mechanism.Shape // the operands, the last first
	first := s
	for first.Op == s.Op && (s.Op == mechanism.Join || s.Op == mechanism.Cut) {
		for i := len(first.Args) - 1; i > 0; i-- {
			spine = append(spine, first.Args[i])
		}
		first = first.Args[0]
	}
	f := *s
	if len(spine) == 0 {
		f.Args = make([]*mechanism.Shape, len(s.Args))
		for i, a := range s.Args {
			f.Args[i] = flatten(a, seen)
		}
	} else {
		f.Args = []*mechanism.Shape{flatten(first, seen)}
		for i := len(spine) - 1; i >= 0; i-- {
			a := flatten(spine[i], seen)
			if s.Op == mechanism.Join && a.Op == mechanism.Join {
				f.Args = append(f.Args, a.Args...)
				continue
			}
			f.Args = append(f.Args, a)
		}
	}
	seen[s] = &f
	return &f
}
