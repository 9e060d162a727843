package field

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Edges says which edges of a block are treated.
type Edges struct{ Vertical, Top, Bottom bool }

// away is farther than any solid reaches from where it is drawn, mm: an edge
// moved that far is out of the way.
const away = 1e6

// Block spans lo to hi with sharp edges; exact.
func Block(lo, hi geom.Vec) Field {
	c, h := r3.Scale(0.5, r3.Add(lo, hi)), r3.Scale(0.5, r3.Sub(hi, lo))
	return func(p geom.Vec) float64 {
		q := geom.Vec{X: math.Abs(p.X-c.X) - h.X, Y: math.Abs(p.Y-c.Y) - h.Y, Z: math.Abs(p.Z-c.Z) - h.Z}
		out := geom.Vec{X: max(q.X, 0), Y: max(q.Y, 0), Z: max(q.Z, 0)}
		return r3.Norm(out) + min(0, max(q.X, q.Y, q.Z))
	}
}

// RoundedBlock spans lo to hi, the named edges rounded by radius r as a ball
// rolls along them. Where vertical edges are sharp, rounds of the top or bottom
// meet in a mitre; a lower bound there, exact outside where all edges are round.
func RoundedBlock(lo, hi geom.Vec, r float64, e Edges) Field {
	long, high := lo, hi
	if !e.Bottom {
		long.Z -= away
	}
	if !e.Top {
		high.Z += away
	}
	rounded := func(lo, hi geom.Vec) Field {
		in := geom.Vec{X: r, Y: r, Z: r}
		f := Block(r3.Add(lo, in), r3.Sub(hi, in))
		return func(p geom.Vec) float64 { return f(p) - r }
	}
	if e.Vertical {
		return Common(rounded(long, high), Slab(lo.Z, hi.Z))
	}
	alongX, alongY := rounded(stretch(long, high, 0)), rounded(stretch(long, high, 1))
	return Common(alongX, alongY, Block(lo, hi))
}

func stretch(lo, hi geom.Vec, axis int) (geom.Vec, geom.Vec) {
	if axis == 0 {
		lo.X, hi.X = lo.X-away, hi.X+away
	} else {
		lo.Y, hi.Y = lo.Y-away, hi.Y+away
	}
	return lo, hi
}

// ChamferedBlock spans lo to hi, the named edges cut off at 45 degrees by a leg
// of c; a lower bound.
func ChamferedBlock(lo, hi geom.Vec, c float64, e Edges) Field {
	mid, h := r3.Scale(0.5, r3.Add(lo, hi)), r3.Scale(0.5, r3.Sub(hi, lo))
	return func(p geom.Vec) float64 {
		x, y, z := math.Abs(p.X-mid.X)-h.X, math.Abs(p.Y-mid.Y)-h.Y, math.Abs(p.Z-mid.Z)-h.Z
		d := max(x, y, z)
		if e.Vertical {
			d = max(d, (x+y+c)/math.Sqrt2)
		}
		if (e.Top && p.Z >= mid.Z) || (e.Bottom && p.Z < mid.Z) {
			d = max(d, (max(x, y)+z+c)/math.Sqrt2)
		}
		return d
	}
}
