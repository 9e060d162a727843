package solid

import (
	"fmt"
	"math"
	"strings"

	"feint/internal/field"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// blockEdges reads the names of Block.Edges: "vertical", "top", "bottom", "all",
// or several with spaces or commas between.
func blockEdges(b mechanism.Block) (field.Edges, error) {
	var e field.Edges
	size := r3.Sub(b.Hi, b.Lo)
	if !finite(b.Lo.X, b.Lo.Y, b.Lo.Z, b.Hi.X, b.Hi.Y, b.Hi.Z) || size.X <= 0 || size.Y <= 0 || size.Z <= 0 {
		return e, fmt.Errorf("a block of %g x %g x %g mm: every length must be positive", size.X, size.Y, size.Z)
	}
	if err := edgeOK(b.Edge); err != nil {
		return e, err
	}
	leg := b.Edge.Round + b.Edge.Chamfer
	if leg == 0 {
		return e, nil
	}
	for _, w := range strings.FieldsFunc(b.Edges, func(r rune) bool { return r == ' ' || r == ',' }) {
		switch w {
		case "vertical":
			e.Vertical = true
		case "top":
			e.Top = true
		case "bottom":
			e.Bottom = true
		case "all":
			e = field.Edges{Vertical: true, Top: true, Bottom: true}
		default:
			return e, fmt.Errorf("edges %q: name vertical, top, bottom or all", w)
		}
	}
	if e == (field.Edges{}) {
		return e, fmt.Errorf("an edge of %g mm but no edges named: name vertical, top, bottom or all", leg)
	}
	ends := 0.0
	for _, yes := range [2]bool{e.Top, e.Bottom} {
		if yes {
			ends += leg
		}
	}
	if 2*leg > min(size.X, size.Y) || ends > size.Z {
		return e, fmt.Errorf("edges of %.4g mm do not fit a block of %g x %g x %g mm: make them smaller", leg, size.X, size.Y, size.Z)
	}
	return e, nil
}

// level is a horizontal section of a block, the sides moved in by inset.
type level struct{ z, inset float64 }

// rise lists the sections of the lower edge from z = 0: the round or chamfer.
func rise(e mechanism.Edge, treated, vertical bool, tol float64) []level {
	switch {
	case !treated:
		return []level{{}}
	case e.Chamfer > 0 && vertical: // the three chamfers of a corner meet half way
		return []level{{0, e.Chamfer}, {e.Chamfer / 2, e.Chamfer / 2}, {e.Chamfer, 0}}
	case e.Chamfer > 0:
		return []level{{0, e.Chamfer}, {e.Chamfer, 0}}
	}
	r := e.Round
	out := []level{{0, r}}
	for _, p := range newArc(point{r, 0}, point{0, r}, -math.Tan(math.Pi/8)).inner(tol, false) {
		out = append(out, level{p.y, p.x})
	}
	return append(out, level{r, 0})
}

func facetBlock(b mechanism.Block, tol float64) (*mesh.Mesh, error) {
	e, err := blockEdges(b)
	if err != nil {
		return nil, err
	}
	if e.Vertical && (e.Top || e.Bottom) {
		tol *= share
	}
	var levels []level
	for _, l := range rise(b.Edge, e.Bottom, e.Vertical, tol) {
		levels = append(levels, level{b.Lo.Z + l.z, l.inset})
	}
	top := rise(b.Edge, e.Top, e.Vertical, tol)
	for i := len(top) - 1; i >= 0; i-- {
		if z := b.Hi.Z - top[i].z; z > levels[len(levels)-1].z {
			levels = append(levels, level{z, top[i].inset})
		}
	}
	var rings [][]geom.Vec
	for _, l := range levels {
		rings = append(rings, raise(section(b, e, l.inset, tol), l.z))
	}
	return stack([][][]geom.Vec{rings}), nil
}

// section is the horizontal section of the block with its sides moved in.
func section(b mechanism.Block, e field.Edges, inset, tol float64) []point {
	var out []point
	lo, hi := point{b.Lo.X + inset, b.Lo.Y + inset}, point{b.Hi.X - inset, b.Hi.Y - inset}
	corners := [4]point{{hi.x, lo.y}, hi, {lo.x, hi.y}, lo}
	leg, round := max(0, b.Edge.Chamfer-2*inset), max(0, b.Edge.Round-inset)
	for i, p := range corners {
		in, along := polar(1, float64(i)*math.Pi/2), polar(1, float64(i+1)*math.Pi/2)
		in.x, in.y, along.x, along.y = math.Round(in.x), math.Round(in.y), math.Round(along.x), math.Round(along.y)
		switch {
		case !e.Vertical:
			out = append(out, p)
		case b.Edge.Chamfer > 0:
			out = append(out, p.sub(in.scale(leg)), p.add(along.scale(leg)))
		default:
			// as many points at every level, also where the radius is 0
			out = append(out, cornerArc(p.sub(in.scale(round)), p.add(along.scale(round)), p.sub(in.scale(round)).add(along.scale(round)), round, b.Edge.Round, tol)...)
		}
	}
	return out
}

// cornerArc is a quarter circle about c from a to b of radius r, with the
// division of the radius full.
func cornerArc(a, b, c point, r, full, tol float64) []point {
	k := pieces(full, math.Pi/2, tol)
	out := []point{a}
	from := math.Round(math.Atan2(a.y-c.y, a.x-c.x)/(math.Pi/2)) * math.Pi / 2
	if r == 0 {
		for range k {
			out = append(out, b)
		}
		return out
	}
	for i := 1; i < k; i++ {
		out = append(out, c.add(polar(innerRadius(r, math.Pi/2, k), from+math.Pi/2*float64(i)/float64(k))))
	}
	return append(out, b)
}
