package solid

import (
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// How far the pieces of a sheet overshoot, mm, and shares of other measures.
const (
	// overshoot is how far a groove's cutter stands out of its surface. It
	// exceeds the deviation of the coarsest surface that Options allows.
	overshoot = 0.1
	// beyond is how far the sweeps reach past the shell that cuts them.
	beyond = 0.1
	// twisted is the part of the tolerance for the twist of a helical wall's quads;
	// the chords of the path, and the bend of the wall along the pin, take the rest.
	twisted = 0.75
	// axisShare is the least part of the width that must lie between a sweep and
	// the axis; from a quarter on the walls of a helical run do not fold.
	axisShare = 0.6
)

// station is a height s along the pin, the lift of its roof there, and the slope
// of the roof.
type station struct{ s, lift, slope float64 }

// sheet is a surface with a path on it and the pin that follows the path. The
// shell lies between inner and outer: radii, or z on a flat.
type sheet struct {
	round        bool
	inner, outer float64
	width        float64
	roof, roofAt float64 // roof is +1, -1 or 0
	path         [][2]float64
	closed       bool
	flatEnds     bool
	circle       circle
	tol          float64
	stations     []station
}

// newSheet is the sheet without stations: what a field needs too.
func newSheet(on mechanism.Surface, inner, outer, width float64, path []mechanism.PathPoint) *sheet {
	s := &sheet{round: on != mechanism.Flat, inner: inner, outer: outer, width: width}
	s.path, s.closed = s.straighten(path)
	return s
}

// scale is what turns u to mm at the middle of the shell.
func (h *sheet) scale() float64 {
	if h.round {
		return (h.inner + h.outer) / 2
	}
	return 1
}

// straighten leaves out repeated and collinear points, and tells whether the
// path closes.
func (h *sheet) straighten(path []mechanism.PathPoint) ([][2]float64, bool) {
	k := h.scale()
	mm := func(p [2]float64) point { return point{p[0] * k, p[1]} }
	straight := func(a, b, c [2]float64) bool {
		u, v := mm(b).sub(mm(a)), mm(c).sub(mm(b))
		return math.Abs(cross2(u, v)) < 1e-9*u.length()*v.length() && dot2(u, v) > 0
	}
	var out [][2]float64
	for _, p := range path {
		q := [2]float64{p.U, p.V}
		n := len(out)
		if n > 0 && same(mm(out[n-1]), mm(q), tiny) {
			continue
		}
		if n > 1 && straight(out[n-2], out[n-1], q) {
			out[n-1] = q
			continue
		}
		out = append(out, q)
	}
	n := len(out)
	if n < 2 || n < 3 && !h.wholeTurn(out) || !h.closes(out) {
		return out, false
	}
	if n > 3 && straight(out[n-2], out[n-1], [2]float64{out[n-1][0] + out[1][0] - out[0][0], out[1][1]}) {
		// the path closes in the middle of a run: begin at the next corner
		out[n-1] = [2]float64{out[n-1][0] + out[1][0] - out[0][0], out[1][1]}
		out = out[1:]
	}
	return out, true
}

func (h *sheet) wholeTurn(p [][2]float64) bool {
	return h.round && len(p) == 2 && p[0][1] == p[1][1] && math.Abs(p[1][0]-p[0][0]) > 2*math.Pi-1e-9
}

func (h *sheet) closes(p [][2]float64) bool {
	a, b := p[0], p[len(p)-1]
	du := (b[0] - a[0]) * h.scale()
	if h.round {
		du = math.Remainder(b[0]-a[0], 2*math.Pi) * h.scale()
	}
	return math.Hypot(du, b[1]-a[1]) <= tiny || h.wholeTurn(p)
}

// run gives the steps in u and v of piece i.
func (h *sheet) run(i int) (du, dv float64) {
	return h.path[i+1][0] - h.path[i][0], h.path[i+1][1] - h.path[i][1]
}

// heading is the direction of a run as the pin sees it at height s.
func (h *sheet) heading(du, dv, s float64) float64 {
	if h.round {
		du *= s
	}
	return math.Atan2(dv, du)
}

// contact is the angle about the pin, at station st, of the wall that a run
// leaves on its left (side +1) or right (-1). The pin's normal there is square
// to the motion; on a roof the slope enters:
// v' sin + u' cos (s + w/2 slope sin) = 0.
func (h *sheet) contact(du, dv float64, st station, side float64) float64 {
	psi := h.heading(du, dv, st.s) + side*math.Pi/2
	if !h.round || st.slope == 0 || du == 0 || dv == 0 || math.Sin(psi) <= 0 {
		return psi
	}
	for range 60 { // a contraction by about w/(2 s) < 0.84
		psi = h.heading(du, dv, st.s+h.width/2*st.slope*math.Sin(psi)) + side*math.Pi/2
	}
	return psi
}

// at is the point beside the pin at (u, v), height s, a and b across.
func (h *sheet) at(u, v, s, a, b float64) geom.Vec {
	if !h.round {
		return geom.Vec{X: u + a, Y: v + b, Z: s}
	}
	sin, cos := math.Sincos(u)
	return geom.Vec{X: s*cos - a*sin, Y: s*sin + a*cos, Z: v + b}
}

// raised tells whether the pin's surface at the angle psi is its roof.
func raised(psi float64) bool { return math.Sin(psi) > 1e-9 }

// bodies are all that the pin sweeps: without its roof, and its roofed part once
// more with it. Where the roof begins the pin has a corner that points inwards,
// which no single envelope follows.
func (h *sheet) bodies() []*mesh.Mesh {
	plain, roofed := *h, *h
	plain.roof = 0
	plain.stations, roofed.stations = h.lay()
	out := plain.swept()
	if h.roof != 0 {
		out = append(out, roofed.swept()...)
	}
	return out
}

func (h *sheet) swept() []*mesh.Mesh {
	var out []*mesh.Mesh
	for i := range len(h.path) - 1 {
		out = append(out, h.strip(i)...)
	}
	return append(out, h.joints()...)
}

// lay gives the heights at which the sweeps are divided, all of them without a
// roof and, at the same heights, those of the roof.
func (h *sheet) lay() (plain, roofed []station) {
	lo, hi := h.reaches()
	n := 1
	for i := range len(h.path) - 1 {
		du, dv := h.run(i)
		if h.round && du != 0 && dv != 0 {
			n = max(n, h.divisions(du, dv, lo, hi))
		}
	}
	cuts := []float64{lo, hi}
	if h.roof != 0 {
		cuts = []float64{lo, h.roofAt, hi}
	}
	for i := 1; i < len(cuts); i++ {
		a, b := cuts[i-1], cuts[i]
		k := int(math.Ceil(float64(n) * (b - a) / (hi - lo)))
		for j := range k + 1 {
			s := a + (b-a)*float64(j)/float64(k)
			if j > 0 || i == 1 {
				plain = append(plain, station{s: s})
			}
			if lift := h.roof * (s - h.roofAt); h.roof*((a+b)/2-h.roofAt) > 0 {
				roofed = append(roofed, station{s, max(0, lift), h.roof})
			}
		}
	}
	return plain, roofed
}

// triangles is about how many triangles the bodies will have.
func (h *sheet) triangles() float64 {
	plain, roofed := h.lay()
	n := float64(4 * (len(plain) + len(roofed)))
	sum := 0.0
	for i := range len(h.path) - 1 {
		du, _ := h.run(i)
		steps := 1.0
		if h.round {
			steps += math.Abs(du) / h.circle.step()
		}
		sum += n * (steps + float64(pieces(h.width/2, math.Pi, h.tol)))
	}
	return sum
}

// reaches is how far in and out the sweeps go. At the sides of the pin the shell
// is met nearer to the axis than in the middle.
func (h *sheet) reaches() (lo, hi float64) {
	lo, hi = h.inner-beyond, h.outer+beyond
	if h.round {
		lo = math.Sqrt(max(0, h.inner*h.inner-h.width*h.width/4)) - beyond
	}
	return lo, hi
}

// divisions is the number of divisions along the pin that a helical run needs:
// the corners of its wall's quads are twisted by du ds cos/4 out of their plane,
// cos the part of the wall's normal round the axis, and the wall bends along the
// pin by w/2 (turn of the contact)^2/8, the turn at most ds/(2 s).
func (h *sheet) divisions(du, dv, lo, hi float64) int {
	step := math.Abs(du) / float64(h.steps(du))
	c := math.Abs(dv) / math.Hypot(du*lo, dv)
	twist := 4 * h.tol * twisted / (step * c)
	bend := 2 * lo * math.Sqrt(8*h.tol*(1-twisted)/(h.width/2))
	return int(math.Ceil((hi - lo) / min(twist, bend)))
}

// steps is the number of stations along a run.
func (h *sheet) steps(du float64) int {
	return max(1, int(math.Ceil(math.Abs(du)/h.circle.step()-1e-9)))
}

// strip is the body that run i sweeps without its ends, in pieces of at most
// part of a turn where it climbs.
func (h *sheet) strip(i int) []*mesh.Mesh {
	du, dv := h.run(i)
	if !h.round || du == 0 {
		return []*mesh.Mesh{h.loft(i, []float64{0, 1}, false)}
	}
	n := h.steps(du)
	if dv == 0 && math.Abs(du) > 2*math.Pi-1e-9 {
		n = h.circle.n
		return []*mesh.Mesh{h.loft(i, times(0, n, 2*math.Pi/math.Abs(du)/float64(n))[:n], true)}
	}
	part := n
	if dv != 0 && math.Abs(du) > math.Pi {
		part = max(1, h.circle.n/2)
	}
	var out []*mesh.Mesh
	for from := 0; from < n; from += part {
		out = append(out, h.loft(i, times(from, min(from+part, n), 1/float64(n)), false))
	}
	return out
}

func times(from, to int, step float64) []float64 {
	var ts []float64
	for k := from; k <= to; k++ {
		ts = append(ts, float64(k)*step)
	}
	return ts
}

// loft is the body of run i over the times ts, rising. Both walls are divided
// along the same diagonal, so that the twist of the quads moves both the same way
// and the volume stays.
func (h *sheet) loft(i int, ts []float64, ring bool) *mesh.Mesh {
	b := newBuilder()
	last := len(ts) - 1
	du, _ := h.run(i)
	sections := make([][2][]geom.Vec, len(ts))
	for k, t := range ts {
		f := 1.0
		if last > 1 && (ring || (k > 0 && k < last)) {
			f = chordFactor(math.Abs(du) * (ts[1] - ts[0]))
		}
		sections[k] = [2][]geom.Vec{h.wall(i, t, f, -1), h.wall(i, t, f, 1)}
	}
	n, m := last, len(h.stations)-1
	if ring {
		n = len(ts)
	}
	for k := range n {
		p, q := sections[k], sections[(k+1)%len(ts)]
		for j := range m {
			b.quad(p[0][j], q[0][j], q[0][j+1], p[0][j+1])
			b.quad(p[1][j], p[1][j+1], q[1][j+1], q[1][j])
		}
		near, far := 1, 1
		if !ring && k == 0 {
			near = h.across(i, ts[0])
		}
		if !ring && k == n-1 {
			far = h.across(i, ts[last])
		}
		b.between(divided(p[0][0], p[1][0], near), divided(q[0][0], q[1][0], far))
		b.between(reversed(divided(p[0][m], p[1][m], near)), reversed(divided(q[0][m], q[1][m], far)))
	}
	if !ring {
		h.end(b, sections[0], h.across(i, ts[0]), true)
		h.end(b, sections[last], h.across(i, ts[last]), false)
	}
	return b.solid()
}

// across is the number of strips in which the end of run i at time t is divided:
// square ends of helical runs are twisted by the turn of the contact, and a quad
// of breadth w/k lies up to w/k turn/4 off.
func (h *sheet) across(i int, t float64) int {
	du, dv := h.run(i)
	free := h.flatEnds && !h.closed && (i == 0 && t == 0 || i == len(h.path)-2 && t == 1)
	if !free || !h.round || du == 0 || dv == 0 {
		return 1
	}
	k := 1
	for j := 1; j < len(h.stations); j++ {
		turn := math.Abs(h.heading(du, dv, h.stations[j].s) - h.heading(du, dv, h.stations[j-1].s))
		k = max(k, int(math.Ceil(h.width*turn/(4*h.tol*twisted))))
	}
	return k
}

// end closes a section by k strips.
func (h *sheet) end(b *builder, p [2][]geom.Vec, k int, first bool) {
	for j := range len(p[0]) - 1 {
		lo, hi := divided(p[0][j], p[1][j], k), divided(p[0][j+1], p[1][j+1], k)
		for i := range k {
			if first { // the same diagonal on both sides of a cut
				b.quad(lo[i], hi[i], hi[i+1], lo[i+1])
			} else {
				b.quad(lo[i], lo[i+1], hi[i+1], hi[i])
			}
		}
	}
}

// divided is the line from p to q with k-1 points between.
func divided(p, q geom.Vec, k int) []geom.Vec {
	out := make([]geom.Vec, 0, k+1)
	out = append(out, p)
	for i := 1; i < k; i++ {
		t := float64(i) / float64(k)
		out = append(out, r3.Add(r3.Scale(1-t, p), r3.Scale(t, q)))
	}
	return append(out, q)
}

// wall is the line of one wall at the time t of run i, from the inside out.
func (h *sheet) wall(i int, t, factor, side float64) []geom.Vec {
	du, dv := h.run(i)
	u, v := h.path[i][0]+t*du, h.path[i][1]+t*dv
	var out []geom.Vec
	for _, st := range h.stations {
		psi := h.contact(du, dv, st, side)
		p := h.beside(u, v, st, psi, raised(psi))
		p.X, p.Y = p.X*factor, p.Y*factor
		out = append(out, p)
	}
	return out
}

// beside is the point of the pin's surface at the angle psi.
func (h *sheet) beside(u, v float64, st station, psi float64, lifted bool) geom.Vec {
	s, c := math.Sincos(psi)
	// headings along and around are exact, so that walls are planes
	if math.Abs(s) < 1e-12 {
		s, c = 0, math.Round(c)
	} else if math.Abs(c) < 1e-12 {
		s, c = math.Round(s), 0
	}
	a, b := h.width/2*c, h.width/2*s
	if lifted {
		b += st.lift
	}
	return h.at(u, v, st.s, a, b)
}

func reversed(l []geom.Vec) []geom.Vec {
	slices.Reverse(l)
	return l
}
