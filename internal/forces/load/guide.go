package load

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Near is how close two surfaces are that guide each other, mm: loose fits of prints
// have up to 0.5 mm a side (common practice, no source), with a tenth to spare.
const Near = 0.6

// Points is about into how many pieces a part's surface is divided to find where it
// is guided: a millimetre or two apart on usual parts.
const Points = 1500

// thrust is the cosine of the angle from the axis below which a surface carries
// thrust rather than leads: 45 degrees.
const thrust = math.Sqrt2 / 2

// piece is a small part of a surface.
type piece struct {
	at, normal geom.Vec
	area       float64
}

// pieces divides the surface of m into about n pieces, halving triangles across
// their longest edge.
func pieces(m *mesh.Mesh, n int) []piece {
	h := math.Sqrt(m.Area() / float64(n) * 2)
	var out []piece
	for i := range m.T {
		out = split(out, m.Triangle(i), max(h, 0.05))
	}
	return out
}

func split(out []piece, t geom.Triangle, h float64) []piece {
	longest, k := 0.0, 0
	for i := range t {
		if d := r3.Norm(r3.Sub(t[(i+1)%3], t[i])); d > longest {
			longest, k = d, i
		}
	}
	n := r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))
	area := r3.Norm(n) / 2
	// long and narrow pieces may be as long as four times h: there are many of them
	if longest <= h || longest <= 4*h && area < h*h/8 {
		if area == 0 {
			return out
		}
		c := r3.Scale(1.0/3, r3.Add(t[0], r3.Add(t[1], t[2])))
		return append(out, piece{at: c, normal: r3.Scale(0.5/area, n), area: area})
	}
	a, b, c := t[k], t[(k+1)%3], t[(k+2)%3]
	m := r3.Scale(0.5, r3.Add(a, b))
	return split(split(out, geom.Triangle{a, m, c}, h), geom.Triangle{m, b, c}, h)
}

// contact lists the pieces of the part that are near to any other, in the frame of
// the box at configuration q. trees[i] may be nil.
func contact(m *mechanism.Mechanism, trees []*mesh.Tree, part int, q []float64) []piece {
	if trees[part] == nil {
		return nil
	}
	pose := m.Pose(part, q)
	all := pieces(trees[part].Mesh(), Points)
	for i := range all {
		all[i].at, all[i].normal = pose.Apply(all[i].at), pose.Turn(all[i].normal)
	}
	var out []piece
	taken := make([]bool, len(all))
	for o, tree := range trees {
		if o == part || tree == nil {
			continue
		}
		back := m.Pose(o, q).Inverse()
		box := tree.Mesh().Bounds()
		for i := range all {
			p := back.Apply(all[i].at)
			if taken[i] || box.Distance(geom.EmptyBox().Add(p)) > Near {
				continue
			}
			if tree.Within(p, Near) {
				taken[i] = true
				out = append(out, all[i])
			}
		}
	}
	return out
}

// guide reads from the pieces in contact how they lead a travel about the axis.
func guide(kind mechanism.Kind, axis geom.Line, near []piece) Guide {
	var g Guide
	lo, hi := math.Inf(1), math.Inf(-1)
	var lead, push, radius, collar float64
	var middle geom.Vec
	wide := newSpread(axis.Dir)
	for _, p := range near {
		d := r3.Sub(p.at, axis.Point)
		h := r3.Dot(d, axis.Dir)
		r := r3.Norm(r3.Sub(d, r3.Scale(h, axis.Dir)))
		if kind != mechanism.Helix && math.Abs(r3.Dot(p.normal, axis.Dir)) > thrust {
			push += p.area
			collar += p.area * r
			continue
		}
		lo, hi = min(lo, h), max(hi, h)
		wide.add(d)
		lead += p.area
		radius += p.area * r
		middle = r3.Add(middle, r3.Scale(p.area, p.at))
	}
	if lead > 0 {
		g.Length, g.Width, g.Middle = hi-lo, wide.width(), r3.Scale(1/lead, middle)
		g.Middle = r3.Add(g.Middle, r3.Scale((hi+lo)/2-r3.Dot(r3.Sub(g.Middle, axis.Point), axis.Dir), axis.Dir))
	}
	if kind == mechanism.Slide {
		if lead > 0 {
			g.Corner = corner(axis.Dir, near)
		}
		return g
	}
	if lead > 0 {
		g.Radius = radius / lead
	}
	if push > 0 {
		g.Collar = collar / push
	}
	if lead == 0 { // it only rests on a face: that is its bearing
		g.Radius = g.Collar
	}
	return g
}

// Led measures how a travel is guided at the start, as NewBox does, and gives the places
// of the part's surface that lead it, mm, in the frame of the box. trees[i] may be nil.
func Led(m *mechanism.Mechanism, trees []*mesh.Tree, travel int) (Guide, []geom.Vec) {
	t := &m.Travels[travel]
	axis := (&Box{Mechanism: m}).axis(travel, m.Start)
	near := contact(m, trees, t.Part, m.Start)
	var at []geom.Vec
	for _, p := range near {
		if t.Kind == mechanism.Helix || math.Abs(r3.Dot(p.normal, axis.Dir)) <= thrust {
			at = append(at, p.at)
		}
	}
	return guide(t.Kind, axis, near), at
}

// sectors is into how many directions round an axis the normals of walls are sorted.
const sectors = 72

// corner is how much more than the load across the axis the walls together may bear
// because it presses into the corner of two of them: with their normals an angle a
// apart, up to 1/cos(a/2) of it, the square root of 2 for square walls; 1 for a bore,
// whose normals lie close. Walls more than 150 degrees apart make no corner.
func corner(axis geom.Vec, near []piece) float64 {
	x, y := geom.Across(axis)
	var area [sectors]float64
	all := 0.0
	for _, p := range near {
		if math.Abs(r3.Dot(p.normal, axis)) > thrust {
			continue
		}
		a := math.Atan2(r3.Dot(p.normal, y), r3.Dot(p.normal, x)) / (2 * math.Pi) * sectors
		area[(int(math.Round(a))+sectors)%sectors] += p.area
		all += p.area
	}
	first, last, widest := -1, -1, 0
	gap := func(n int) {
		if n*360 <= 150*sectors {
			widest = max(widest, n)
		}
	}
	for i, a := range area {
		if a < all/100 || a == 0 {
			continue
		}
		if first < 0 {
			first = i
		} else {
			gap(i - last)
		}
		last = i
	}
	if first >= 0 {
		gap(first + sectors - last)
	}
	return 1 / math.Cos(float64(widest)*math.Pi/sectors)
}
