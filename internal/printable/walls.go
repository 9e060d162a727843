package printable

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Walled is how thick a part is at a place of its surface.
type Walled struct {
	At    geom.Vec // as drawn
	Thick float64  // mm
	Area  float64  // of the surface that the place stands for, mm2
}

const (
	// WallMost is the thickness up to which walls are told apart, mm: what is thicker is
	// infill between two skins.
	WallMost = 5.0
	// wallPlaces is at how many places of a part at most its walls are measured.
	wallPlaces = 2500
	// wallsTold is how many of the thinnest places are told, and wallsApart how far they
	// lie from each other at least, mm.
	wallsTold  = 6
	wallsApart = 8.0
)

// WallBands are the thicknesses, mm, that divide the map of the walls: two lines, four
// lines, then what a hand bends, then WallMost.
func (s *Settings) WallBands() [4]float64 {
	two, four := 2*s.Line, 4*s.Line
	bend := max((four+WallMost)/2, four)
	return [4]float64{two, four, bend, max(WallMost, bend)}
}

// BandOf is the band of a thickness: the number of bands that it reaches.
func BandOf(bands [4]float64, thick float64) int {
	n := 0
	for n < len(bands) && thick >= bands[n] {
		n++
	}
	return n
}

// walls measures the thickness over the surface: the thinnest places, thinnest first, and
// by band the share of the surface, the last of what is thicker than all or has
// no other side.
func walls(ps []place, t *mesh.Tree, s *Settings, workers int) (thinnest []Walled, shares [5]float64) {
	stride := (len(ps) + wallPlaces - 1) / wallPlaces
	if stride == 0 {
		return nil, shares
	}
	bands := s.WallBands()
	found := make([]Walled, (len(ps)+stride-1)/stride)
	run(len(found), workers, func(i int) {
		p := &ps[i*stride]
		found[i] = Walled{p.at, behind(t, p, bands[3]), p.area}
	})
	whole := 0.0
	for i := range found {
		whole += found[i].Area
		shares[BandOf(bands, found[i].Thick)] += found[i].Area
	}
	for i := range shares {
		shares[i] /= whole
	}
	slices.SortStableFunc(found, func(a, b Walled) int { return cmp.Compare(a.Thick, b.Thick) })
	for _, k := range found {
		if len(thinnest) == wallsTold || math.IsInf(k.Thick, 1) {
			break
		}
		if !slices.ContainsFunc(thinnest, func(o Walled) bool { return r3.Norm(r3.Sub(o.At, k.At)) < wallsApart }) {
			thinnest = append(thinnest, k)
		}
	}
	return thinnest, shares
}

// WallPiece is a piece of a part's surface of one band of thickness.
type WallPiece struct {
	Piece geom.Triangle
	Band  int // as BandOf; of what has no other side the last
}

const (
	// throughFirst is how deep the first step of a line through a wall goes, mm, and
	// throughNear how near to the other side it ends.
	throughFirst = 0.05
	throughNear  = 0.005
	// throughSteps bounds its steps: each doubles the depth or halves what is left, but
	// along a side no farther than that side is away.
	throughSteps = 200
)

// behind is the thickness of the wall behind a place: that of the ball between two sides,
// or, where a corner stops the ball, straight through to a side that faces the place;
// infinite from most on, and where there is no such side.
func behind(t *mesh.Tree, p *place, most float64) float64 {
	d, _, wall := Thickness(t, p.at, p.n, most, false)
	if wall {
		return d
	}
	if d >= most { // nothing is so near
		return math.Inf(1)
	}
	deep := throughFirst
	for range throughSteps {
		left, tri, _ := t.Near(r3.Sub(p.at, r3.Scale(deep, p.n)), most)
		if tri < 0 || deep >= most {
			break
		}
		if left < throughNear {
			face := t.Mesh().Triangle(tri)
			if r3.Dot(face.Normal(), p.n) < facing {
				return deep + left
			}
			break
		}
		deep += left
	}
	return math.Inf(1)
}

// wallPieces is into how many pieces a part's surface is divided for its picture, about,
// and wallGrain how long they are at least, mm.
const (
	wallPieces = 5000
	wallGrain  = 0.3
)

// WallMap divides the surface of a sound mesh into pieces and tells the band of thickness
// of each. workers as in Look.
func WallMap(m *mesh.Mesh, t *mesh.Tree, s *Settings, workers int) []WallPiece {
	bands := s.WallBands()
	var out []WallPiece
	var ps []place
	for q, p := range sampled(m, max(wallGrain, math.Sqrt(2*m.Area()/wallPieces))) {
		out, ps = append(out, WallPiece{Piece: *q}), append(ps, p)
	}
	run(len(out), workers, func(i int) {
		out[i].Band = BandOf(bands, behind(t, &ps[i], bands[3]))
	})
	return out
}
