package printable

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Web is a wall of a part with something sliding on both of its sides: what is left
// between two arms of a track.
type Web struct {
	At        geom.Vec // on it, as drawn
	Thickness float64  // least, mm
	Height    float64  // from its root to its free edge, mm; 0 if no edge is free within webReach
	Length    float64  // along the track, mm, no more than 2 webReach
	Lift      geom.Vec // from its root to its edge, unit, as drawn; zero without Height
	Others    [2]int   // who slides on either side
}

const (
	// webMost is the thickness up to which a wall between two tracks is looked at, mm:
	// twice of what a finger breaks by Jaramillo's moment and the weakest material.
	webMost = 5.0
	// webReach is how far from its middle a web is followed, mm: tracks of printed boxes
	// are 2 to 5 mm deep (common practice).
	webReach = 10.0
	// webStep is the step of following it, mm.
	webStep = 0.05
	// webSide is how near to the far side of a wall another sample of a slide must lie
	// for something to slide there too, mm: samples are 1.5 mm apart.
	webSide = 2.3
	// webRoot is the distance from the middle of a web to its surface, of its thickness,
	// at which its root is passed: within the web it is a half.
	webRoot = 0.75
)

// webs finds the walls of a part on both sides of which others slide, thinnest first; one
// is told of those that lie together.
func webs(p *Piece, t *mesh.Tree, workers int) []Web {
	found := make([]*Web, len(p.Slides))
	run(len(p.Slides), workers, func(i int) {
		k := &p.Slides[i]
		d, other, wall := Thickness(t, k.At, k.Normal, webMost, false)
		if !wall {
			return
		}
		j := slices.IndexFunc(p.Slides, func(o Slide) bool {
			return r3.Dot(o.Normal, k.Normal) < facing && r3.Norm(r3.Sub(o.At, other)) < webSide
		})
		if j < 0 {
			return
		}
		found[i] = &Web{At: r3.Scale(0.5, r3.Add(k.At, other)), Thickness: d, Others: [2]int{k.Other, p.Slides[j].Other}}
	})
	var all []*Web
	for _, w := range found {
		if w != nil {
			all = append(all, w)
		}
	}
	slices.SortStableFunc(all, func(a, b *Web) int { return cmp.Compare(a.Thickness, b.Thickness) })
	var out []Web
	for _, w := range all {
		if slices.ContainsFunc(out, func(o Web) bool { return r3.Norm(r3.Sub(o.At, w.At)) < webReach }) {
			continue
		}
		if _, _, q := t.Signed(w.At); q != w.At {
			w.follow(t, r3.Unit(r3.Sub(q, w.At)))
		}
		out = append(out, *w)
	}
	return out
}

// follow measures the web from its middle: a is across it.
func (w *Web) follow(t *mesh.Tree, a geom.Vec) {
	u, v := geom.Across(a)
	edge := webReach
	const directions = 16
	for i := range directions {
		s, c := math.Sincos(2 * math.Pi * float64(i) / directions)
		e := r3.Add(r3.Scale(c, u), r3.Scale(s, v))
		if out, _ := w.march(t, e, edge); out < edge {
			edge, w.Lift = out, e
		}
	}
	if edge >= webReach {
		return
	}
	leaves, root := w.march(t, r3.Scale(-1, w.Lift), webReach)
	if root >= webReach || leaves < root { // it has no root, or both edges are free
		w.Lift = geom.Vec{}
		return
	}
	// half a thickness off the middle, the surface is the corner at the root:
	// webRoot of the thickness from it is sqrt(webRoot^2 - 1/4) of it below
	w.Height = edge + max(0, root-w.Thickness*math.Sqrt(webRoot*webRoot-0.25))
	along := r3.Cross(a, w.Lift)
	for _, d := range [2]geom.Vec{along, r3.Scale(-1, along)} {
		leaves, thick := w.march(t, d, webReach)
		w.Length += min(leaves, thick)
	}
}

// march goes from the middle of the web along d and tells where it leaves the part and
// where it comes into the thick, mm, no farther than most.
func (w *Web) march(t *mesh.Tree, d geom.Vec, most float64) (leaves, thick float64) {
	leaves, thick = most, most
	for s := webStep; s < most; s += webStep {
		r, _, _ := t.Signed(r3.Add(w.At, r3.Scale(s, d)))
		if r >= 0 {
			return s, thick
		}
		if -r > webRoot*w.Thickness && thick == most {
			thick = s
		}
	}
	return leaves, thick
}
