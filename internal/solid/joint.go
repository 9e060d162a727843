package solid

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// joints are the bodies that the pin covers where the path turns and where it
// ends, each reaching into the strips beside it, so that nothing merely touches.
func (h *sheet) joints() []*mesh.Mesh {
	var out []*mesh.Mesh
	n := len(h.path) - 1
	for i := 1; i < n; i++ {
		out = h.bend(out, i-1, i)
	}
	for i := range n {
		out = h.gables(out, i)
	}
	switch {
	case h.closed && n > 1:
		out = h.bend(out, n-1, 0)
	case h.closed:
	case !h.flatEnds:
		out = append(out, h.roundEnd(0, true), h.roundEnd(n-1, false))
	case h.roof != 0:
		out = h.roofEnd(out, 0, true)
		out = h.roofEnd(out, n-1, false)
	}
	return out
}

// reach is how far a joint reaches back along run i, as a part of the run.
func (h *sheet) reach(i int, s float64) float64 {
	du, dv := h.run(i)
	if h.round {
		du *= s
	}
	return min(0.5, h.width/4/math.Hypot(du, dv))
}

// middle is the point at height s of the middle of run i at time t.
func (h *sheet) middle(i int, t, s float64) geom.Vec {
	du, dv := h.run(i)
	return h.at(h.path[i][0]+t*du, h.path[i][1]+t*dv, s, 0, 0)
}

// bend fills the outside of the corner between run i and run j that follows it.
func (h *sheet) bend(out []*mesh.Mesh, i, j int) []*mesh.Mesh {
	du, dv := h.run(i)
	eu, ev := h.run(j)
	way := sign(du*ev - dv*eu)
	// the end of run i as run j sees it: on a closed path a whole turn away
	u, v := h.path[i+1][0], h.path[i+1][1]
	rings := make([][]geom.Vec, 0, len(h.stations))
	shape := h.fan(func(st station) (float64, float64) {
		from, to := h.contact(du, dv, st, -way), h.contact(eu, ev, st, -way)
		if way < 0 {
			from, to = to, from
		}
		return from, from + math.Mod(to-from+4*math.Pi, 2*math.Pi)
	})
	if shape == nil {
		return out
	}
	for k, st := range h.stations {
		ring := h.fanPoints(u, v, st, shape[k])
		ahead, behind := h.middle(j, h.reach(j, st.s), st.s), h.middle(i, 1-h.reach(i, st.s), st.s)
		if way < 0 {
			ahead, behind = behind, ahead
		}
		rings = append(rings, append(ring, ahead, behind))
	}
	return append(out, h.sheaf(u, rings))
}

// roundEnd is the half pin at the start or the end of run i.
func (h *sheet) roundEnd(i int, start bool) *mesh.Mesh {
	du, dv := h.run(i)
	k, side, t := i+1, -1.0, 1.0
	if start {
		k, side, t = i, 1, 0
	}
	u, v := h.path[k][0], h.path[k][1]
	shape := h.fan(func(st station) (float64, float64) {
		from, to := h.contact(du, dv, st, side), h.contact(du, dv, st, -side)
		return from, from + math.Mod(to-from+4*math.Pi, 2*math.Pi)
	})
	var rings [][]geom.Vec
	for n, st := range h.stations {
		back := math.Abs(t - h.reach(i, st.s))
		rings = append(rings, append(h.fanPoints(u, v, st, shape[n]), h.middle(i, back, st.s)))
	}
	return h.sheaf(u, rings)
}

// roofEnd is what the roof adds beyond a square end that faces upwards. Square
// ends with a roof are only allowed on runs along and around.
func (h *sheet) roofEnd(out []*mesh.Mesh, i int, start bool) []*mesh.Mesh {
	du, dv := h.run(i)
	k, t := i+1, 1.0
	if start {
		k, t, dv = i, 0, -dv
	}
	if du != 0 || dv <= 0 {
		return out
	}
	u, v := h.path[k][0], h.path[k][1]
	var rings [][]geom.Vec
	for _, st := range h.stations {
		w := h.width / 2
		back := math.Abs(t - h.reach(i, st.s))
		rings = append(rings, []geom.Vec{
			h.at(u, v, st.s, w, 0), h.at(u, v, st.s, w, st.lift),
			h.at(u, v, st.s, -w, st.lift), h.at(u, v, st.s, -w, 0), h.middle(i, back, st.s),
		})
	}
	return append(out, h.sheaf(u, rings))
}

// gables are what the roof adds at the ends of a run that climbs askew. The strip
// between its lower wall and its raised upper wall leaves out two triangles there;
// the gable is the end itself drawn out to the height of the roof, which is part
// of the pin and holds both.
func (h *sheet) gables(out []*mesh.Mesh, i int) []*mesh.Mesh {
	du, dv := h.run(i)
	if h.roof == 0 || du == 0 || dv == 0 {
		return out
	}
	side := sign(du) // of the upper wall
	for _, p := range [2][2]float64{h.path[i], h.path[i+1]} {
		var rings [][]geom.Vec
		for _, st := range h.stations {
			bare := h.contact(du, dv, station{s: st.s}, side)
			under := h.contact(du, dv, st, side)
			under, over := min(bare, under), max(bare, under)
			at := func(psi float64, up bool) geom.Vec { return h.beside(p[0], p[1], st, psi, up) }
			low := bare + math.Pi
			ring := []geom.Vec{at(low, false), at(low, true), at(under, true), at(over, true), at(over, false)}
			if math.Cos(low) < 0 {
				ring = []geom.Vec{at(low, false), at(under, false), at(under, true), at(over, true), at(low, true)}
			}
			rings = append(rings, ring)
		}
		out = append(out, h.sheaf(p[0], rings))
	}
	return out
}

// edge is a point of a fan: an angle about the pin, whether it lies on the
// roof, and the ratio of its distance to the radius of the pin.
type edge struct {
	psi    float64
	raised bool
	far    float64
}

// fan divides the outside of a joint at every station: arcs from the angles that
// ends gives, counter-clockwise, broken where the roof begins, equally many
// points at every station. It is nil where the joint turns by nothing.
func (h *sheet) fan(ends func(st station) (from, to float64)) [][]edge {
	type part struct{ from, to float64 }
	parts := make([][]part, len(h.stations))
	var counts []int
	widest := 0.0
	for k, st := range h.stations {
		from, to := ends(st)
		widest = max(widest, to-from)
		p := []part{{from, to}}
		if h.roof != 0 {
			p = nil
			for a := from; ; {
				next := (math.Floor(a/math.Pi+1e-9) + 1) * math.Pi
				if next >= to-1e-9 {
					p = append(p, part{a, to})
					break
				}
				p = append(p, part{a, next})
				a = next
			}
		}
		parts[k] = p
		if counts == nil {
			counts = make([]int, len(p))
		}
		for i, x := range p {
			counts[i] = max(counts[i], pieces(h.width/2, x.to-x.from, h.tol))
		}
	}
	if widest < 1e-9 {
		return nil
	}
	out := make([][]edge, len(h.stations))
	for k, p := range parts {
		for i, x := range p {
			up := h.roof != 0 && raised((x.from+x.to)/2)
			if i == 0 && up && !raised(x.from) {
				out[k] = append(out[k], edge{x.from, false, 1})
			}
			out[k] = append(out[k], edge{x.from, up, 1})
			for j := 1; j < counts[i]; j++ {
				far := innerRadius(1, x.to-x.from, counts[i])
				out[k] = append(out[k], edge{x.from + (x.to-x.from)*float64(j)/float64(counts[i]), up, far})
			}
			out[k] = append(out[k], edge{x.to, up, 1})
			if i == len(p)-1 && up && !raised(x.to) {
				out[k] = append(out[k], edge{x.to, false, 1})
			}
		}
	}
	return out
}

func (h *sheet) fanPoints(u, v float64, st station, es []edge) []geom.Vec {
	var out []geom.Vec
	w := h.width
	for _, e := range es {
		h.width = w * e.far
		p := h.beside(u, v, st, e.psi, e.raised)
		out = append(out, p)
	}
	h.width = w
	return out
}

// hullBelt joins two rings as their convex hull would be: of the two diagonals of
// a quad the one that stands out. The pin is convex, so nothing lies outside it.
func (b *builder) hullBelt(lo, hi []geom.Vec) {
	n := len(lo)
	for i := range lo {
		j := (i + 1) % n
		x, y, z := r3.Sub(lo[j], lo[i]), r3.Sub(hi[j], lo[i]), r3.Sub(hi[i], lo[i])
		if r3.Dot(r3.Cross(x, y), z) > 0 {
			b.quad(lo[j], hi[j], hi[i], lo[i])
		} else {
			b.quad(lo[i], lo[j], hi[j], hi[i])
		}
	}
}

// sheaf joins the rings of a joint, one a station, and closes them as the pin
// at u sees them.
func (h *sheet) sheaf(u float64, rings [][]geom.Vec) *mesh.Mesh {
	b := newBuilder()
	for k := 1; k < len(rings); k++ {
		b.hullBelt(rings[k-1], rings[k])
	}
	for k, ring := range [2][]geom.Vec{rings[0], rings[len(rings)-1]} {
		var flat []point
		var at []geom.Vec
		s, c := math.Sincos(u)
		for i, v := range ring {
			if v == ring[(i+1)%len(ring)] {
				continue
			}
			p := point{v.X, v.Y}
			if h.round {
				p = point{v.Y*c - v.X*s, v.Z}
			}
			flat, at = append(flat, p), append(at, v)
		}
		if len(flat) < 3 { // where a gable begins it is a line
			continue
		}
		for _, t := range triangulate([][]point{flat}) {
			if k == 0 {
				t[1], t[2] = t[2], t[1]
			}
			b.triangle(at[t[0]], at[t[1]], at[t[2]])
		}
	}
	return b.solid()
}
