package printable

import (
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// shaveRim is how deep edges may be rounded or lettering sunk at an outer face that
	// is moved inwards with them, mm.
	shaveRim = 3
	// shaveShare is the share of the part's mass from which a smaller outside is worth
	// drawing; a wall must also be thicker than twice what is kept.
	shaveShare = 0.05
	// shaveSlant is how much faces that are shortened may lean, as the sine of the
	// angle to the direction of the move: meshes round corners to 2^-16 mm.
	shaveSlant = 1e-3
	// shaveFace is how much of its side of the box the outer face must take.
	shaveFace = 0.5
)

// Side is an outer side of a part that could lie farther in.
type Side struct {
	Out   geom.Vec // outwards, as drawn
	Depth float64  // mm
}

// shaved is what would be saved by a smaller outside of a part that others lie in: along
// every axis as drawn, the outer face is moved inwards to Keep before the next corner
// within, such as that of a cavity. Between the two the part is a prism, so that moving the corners of the outer
// face is all that changes, and nothing slides there. What is saved is the difference of
// the two estimates.
func shaved(p *Piece, whole *Estimate, beside [][3]int32, s *Settings) []Spare {
	if !p.Outer {
		return nil
	}
	m := &mesh.Mesh{V: slices.Clone(p.Mesh.V), T: p.Mesh.T}
	k := Spare{Open: "at the outside"}
	for _, out := range []geom.Vec{{X: -1}, {X: 1}, {Y: -1}, {Y: 1}, {Z: -1}, {Z: 1}} {
		if d := shave(m, out, p.Slides, s.Keep); d > 0 {
			k.Sides = append(k.Sides, Side{out, d})
		}
	}
	if len(k.Sides) == 0 || mesh.Check(m) != nil {
		return nil
	}
	q := *p
	q.Mesh, q.Slides = m, nil
	e := wayUp(&q, "", p.Up, beside, fine, s).Estimate
	k.Grams, k.Minutes, k.Volume = whole.Grams-e.Grams, whole.Minutes-e.Minutes, p.Mesh.Volume()-m.Volume()
	if k.Grams < max(leastSpare, shaveShare*whole.Grams) {
		return nil
	}
	b := p.Mesh.Bounds()
	k.At = r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
	most := slices.MaxFunc(k.Sides, func(a, b Side) int { return int(math.Copysign(1, a.Depth-b.Depth)) })
	half := r3.Scale(0.5, r3.Sub(b.Hi, b.Lo))
	k.At = r3.Add(k.At, geom.Vec{X: most.Out.X * half.X, Y: most.Out.Y * half.Y, Z: most.Out.Z * half.Z})
	return []Spare{k}
}

// shave moves the outer face of a side inwards and tells by how much; 0 if it cannot.
func shave(m *mesh.Mesh, out geom.Vec, slides []Slide, keep float64) float64 {
	top := math.Inf(-1)
	for _, v := range m.V {
		top = max(top, r3.Dot(out, v))
	}
	depths := make([]float64, len(m.V))
	for i, v := range m.V {
		depths[i] = top - r3.Dot(out, v)
	}
	sorted := slices.Clone(depths)
	slices.Sort(sorted)
	rim, next := 0.0, math.Inf(1)
	for _, d := range sorted {
		if d-rim > 2*keep+1e-6 {
			next = d
			break
		}
		if rim = d; rim > shaveRim {
			return 0
		}
	}
	by := next - rim - keep
	if far := sorted[len(sorted)-1]; math.IsInf(by, 0) || next >= far-rim {
		return 0 // there is nothing within
	}
	for _, k := range slides {
		if top-r3.Dot(out, k.At) < next {
			return 0
		}
	}
	for i, t := range m.T {
		a, b, c := depths[t[0]], depths[t[1]], depths[t[2]]
		if min(a, b, c) > rim || max(a, b, c) <= rim {
			continue
		}
		tri := m.Triangle(i)
		if math.Abs(r3.Dot(tri.Normal(), out)) > shaveSlant {
			return 0
		}
	}
	before, b := m.Volume(), m.Bounds()
	was := slices.Clone(m.V)
	for i := range m.V {
		if depths[i] <= rim {
			m.V[i] = r3.Sub(m.V[i], r3.Scale(by, out))
		}
	}
	e := r3.Sub(b.Hi, b.Lo)
	face := math.Abs(out.X)*e.Y*e.Z + math.Abs(out.Y)*e.X*e.Z + math.Abs(out.Z)*e.X*e.Y
	if before-m.Volume() < shaveFace*face*by {
		m.V = was // a foot or a rim, not the side
		return 0
	}
	return by
}
