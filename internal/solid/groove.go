package solid

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// groove is the sweep of a pin along a path, cut by the shell between the floor
// and a little above the surface.
func (l *lowering) groove(p mechanism.Groove, f frame) (*expr, error) {
	if err := positive("width", p.Width, "depth", p.Depth); err != nil {
		return nil, err
	}
	inner, outer := shell(p.On, p.R, p.Depth, overshoot)
	h := newSheet(p.On, inner, outer, p.Width, p.Path)
	h.flatEnds = !p.RoundEnds
	if p.Section == mechanism.Roofed {
		h.roof, h.roofAt = 1, inner
		if p.On == mechanism.Bore {
			h.roof, h.roofAt = -1, outer
		}
	}
	return l.sweep(&h, f)
}

// shell bounds what a cutter of the given depth takes: radii, or heights on a
// flat.
func shell(on mechanism.Surface, r, depth, over float64) (inner, outer float64) {
	switch on {
	case mechanism.Shaft:
		return r - depth, r + over
	case mechanism.Bore:
		return r - over, r + depth
	}
	return -depth, over
}

// stroke is a mark: lines with round ends, as high above the surface as below.
func (l *lowering) stroke(p mechanism.Stroke, f frame) (*expr, error) {
	if err := positive("width", p.Width, "height", p.Height); err != nil {
		return nil, err
	}
	inner, outer := shell(p.On, p.R, p.Height, p.Height)
	h := newSheet(p.On, inner, outer, p.Width, p.Path)
	return l.sweep(&h, f)
}

// sweep is a sheet's expression: all runs and joints, within the shell.
func (l *lowering) sweep(h *sheet, f frame) (*expr, error) {
	if err := l.open(h, f); err != nil {
		return nil, err
	}
	paths := &expr{op: mechanism.Join}
	for _, m := range h.bodies() {
		paths.args = append(paths.args, l.add(m, f))
	}
	return &expr{op: mechanism.Common, args: append([]*expr{paths}, l.shell(h, f)...)}, nil
}

// open checks a sheet and lays its stations.
func (l *lowering) open(h *sheet, f frame) error {
	if len(h.path) < 2 {
		return fmt.Errorf("the path has no length: give two points that differ")
	}
	for i, p := range h.path {
		if !finite(p[0], p[1]) {
			return fmt.Errorf("point %d of the path is not a number: check the expression", i+1)
		}
	}
	h.tol = l.o.Tolerance
	if h.round {
		h.circle = l.circle(f)
		if lo := math.Sqrt(max(0, h.inner*h.inner-h.width*h.width/4)) - beyond; lo < axisShare*h.width {
			return fmt.Errorf("a width of %.4g mm is too much %.4g mm from the axis: make it narrower or shallower", h.width, h.inner)
		}
	}
	h.stationsFor()
	return nil
}

// bodies are the sweeps of the runs and the pins at the points.
func (h *sheet) bodies() []*mesh.Mesh {
	var out []*mesh.Mesh
	last := len(h.path) - 1
	for i := range last {
		out = append(out, h.strip(i)...)
	}
	if h.wholeTurn(h.path) {
		return out
	}
	for i, p := range h.path {
		end := i == 0 || i == last
		if end && (h.flatEnds && !h.closed || h.closed && i == last) {
			continue
		}
		out = append(out, h.pin(p[0], p[1]))
	}
	return out
}

// pin is the body of the pin at (u, v): the section at each station, its upper
// half lifted by the roof.
func (h *sheet) pin(u, v float64) *mesh.Mesh {
	n := segments(h.width/2, h.tol)
	k := chordFactor(2 * math.Pi / float64(n))
	ring := func(st station) []geom.Vec {
		var out []geom.Vec
		add := func(psi float64, lift float64) {
			s, c := math.Sincos(psi)
			out = append(out, h.at(u, v, st.s, h.width/2*k*c, h.width/2*k*s+lift))
		}
		for i := range n {
			psi := 2 * math.Pi * float64(i) / float64(n)
			if h.roof != 0 && i == 0 {
				add(psi, 0)
				add(psi, st.lift)
				continue
			}
			if h.roof != 0 && 2*i == n {
				add(psi, st.lift)
				add(psi, 0)
				continue
			}
			if raised(psi) {
				add(psi, st.lift)
			} else {
				add(psi, 0)
			}
		}
		return out
	}
	b := newBuilder()
	for i := 1; i < len(h.stations); i++ {
		b.belt(ring(h.stations[i-1]), ring(h.stations[i]))
	}
	b.fan(ring(h.stations[0]), true)
	b.fan(ring(h.stations[len(h.stations)-1]), false)
	return b.solid()
}

// fan closes a convex ring from its middle.
func (b *builder) fan(ring []geom.Vec, down bool) {
	var c geom.Vec
	for _, v := range ring {
		c.X, c.Y, c.Z = c.X+v.X/float64(len(ring)), c.Y+v.Y/float64(len(ring)), c.Z+v.Z/float64(len(ring))
	}
	for i, v := range ring {
		w := ring[(i+1)%len(ring)]
		if down {
			v, w = w, v
		}
		b.triangle(c, v, w)
	}
}

// shell is what bounds the sweeps in depth: between two cylinders, or two planes.
func (l *lowering) shell(h *sheet, f frame) []*expr {
	lo, hi, far := h.extent()
	if !h.round {
		r := []point{{-far, -far}, {far, -far}, {far, far}, {-far, far}}
		return []*expr{l.add(prism(r, h.inner, h.outer), f)}
	}
	k := h.circle.factor()
	ring := func(r float64) []point {
		out := make([]point, h.circle.n)
		for i := range out {
			out[i] = polar(r*k, h.circle.angle(i))
		}
		return out
	}
	core := l.add(prism(ring(h.inner), lo-1, hi+1), f)
	body := l.add(prism(ring(h.outer), lo, hi), f)
	return []*expr{{op: mechanism.Cut, args: []*expr{body, core}}}
}

// extent bounds the sweeps: in v, and the farthest coordinate.
func (h *sheet) extent() (lo, hi, far float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	lift := 0.0
	for _, s := range h.stations {
		lift = max(lift, s.lift)
	}
	for _, p := range h.path {
		lo, hi = min(lo, p[1]), max(hi, p[1])
		far = max(far, math.Abs(p[0]), math.Abs(p[1]))
	}
	return lo - h.width - 1, hi + h.width + lift + 1, far + h.width + lift + 1
}
