package solid

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// grooveSheet is the sheet of a groove.
func grooveSheet(p mechanism.Groove) (*sheet, error) {
	if err := positive("width", p.Width, "depth", p.Depth); err != nil {
		return nil, err
	}
	if err := surfaceOK(p.On, p.R); err != nil {
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
	return h, h.check()
}

// strokeSheet is the sheet of a mark: square ends, round corners.
func strokeSheet(p mechanism.Stroke) (*sheet, error) {
	if err := positive("width", p.Width, "height", p.Height); err != nil {
		return nil, err
	}
	if err := surfaceOK(p.On, p.R); err != nil {
		return nil, err
	}
	inner, outer := shell(p.On, p.R, p.Height, p.Height)
	h := newSheet(p.On, inner, outer, p.Width, p.Path)
	h.flatEnds = true
	return h, h.check()
}

func surfaceOK(on mechanism.Surface, r float64) error {
	if on == mechanism.Flat {
		return nil
	}
	return positive("the radius of the surface", r)
}

// shell bounds what a cutter of the given depth takes: radii, or heights on a
// flat. It stands out of the surface by over.
func shell(on mechanism.Surface, r, depth, over float64) (inner, outer float64) {
	switch on {
	case mechanism.Shaft:
		return r - depth, r + over
	case mechanism.Bore:
		return r - over, r + depth
	default:
		return -depth, over
	}
}

// check tells whether the pin can follow the path.
func (h *sheet) check() error {
	for i, p := range h.path {
		if !finite(p[0], p[1]) {
			return fmt.Errorf("point %d of the path is not a number: check the expression", i+1)
		}
	}
	if len(h.path) < 2 {
		return fmt.Errorf("the path has no length: give two points that differ")
	}
	if h.round && h.inner < axisShare*h.width {
		return fmt.Errorf("a width of %.4g mm at a radius of %.4g mm meets the axis: make it narrower or less deep", h.width, h.inner)
	}
	if h.roof == 0 || !h.flatEnds || h.closed {
		return nil
	}
	for _, i := range [2]int{0, len(h.path) - 2} {
		if du, dv := h.run(i); du != 0 && dv != 0 {
			return fmt.Errorf("a roofed groove cannot end square where its path climbs: give it round ends, or a last piece along or around the axis")
		}
	}
	return nil
}

// sweep makes the solid of sheets that share one shell: all their runs, corners
// and ends, as one mesh of overlapping shells, within the shell.
func (l *lowering) sweep(sheets []*sheet, f frame) (*expr, error) {
	var bodies []*mesh.Mesh
	sum := 0.0
	for _, h := range sheets {
		h.tol = l.o.Tolerance
		if h.round {
			h.circle = l.circle(f)
		}
		sum += h.triangles()
		if err := bounded(sum); err != nil {
			return nil, err
		}
		bodies = append(bodies, h.bodies()...)
	}
	return &expr{op: mechanism.Common, args: []*expr{l.add(merge(bodies), f), l.add(around(sheets), f)}}, nil
}

// span is the box in the sheet that the sweeps stay in.
type span struct{ u0, u1, v0, v1 float64 }

func (h *sheet) span() span {
	s := span{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	lo, hi := h.reaches()
	side, lift := h.width/2+beyond, max(0, h.roof*(lo-h.roofAt), h.roof*(hi-h.roofAt))
	if h.round {
		// at the innermost station half the pin spans at most this angle
		side = math.Atan2(h.width/2, lo) + h.circle.step()
	}
	for _, p := range h.path {
		s.u0, s.u1 = min(s.u0, p[0]-side), max(s.u1, p[0]+side)
		s.v0, s.v1 = min(s.v0, p[1]-h.width/2-beyond), max(s.v1, p[1]+h.width/2+lift+beyond)
	}
	return s
}

// around is the part of the shell that holds all the sweeps.
func around(sheets []*sheet) *mesh.Mesh {
	h := sheets[0]
	s := h.span()
	for _, o := range sheets[1:] {
		t := o.span()
		s = span{min(s.u0, t.u0), max(s.u1, t.u1), min(s.v0, t.v0), max(s.v1, t.v1)}
	}
	if !h.round {
		return prism([]point{{s.u0, s.v0}, {s.u1, s.v0}, {s.u1, s.v1}, {s.u0, s.v1}}, h.inner, h.outer)
	}
	c := h.circle
	from, to := int(math.Floor((s.u0-c.phase)/c.step())), int(math.Ceil((s.u1-c.phase)/c.step()))
	return tube(c, h.inner, h.outer, s.v0, s.v1, from, to)
}

// tube is a hollow cylinder on the division c, or the part of it between two
// vertices of the division.
func tube(c circle, inner, outer, z0, z1 float64, from, to int) *mesh.Mesh {
	full := to-from >= c.n
	if full {
		from, to = 0, c.n
	}
	b, k := newBuilder(), c.factor()
	section := func(i int) []geom.Vec {
		if full {
			i %= c.n
		}
		p, q := polar(inner*k, c.angle(i)), polar(outer*k, c.angle(i))
		return []geom.Vec{{X: p.x, Y: p.y, Z: z0}, {X: q.x, Y: q.y, Z: z0}, {X: q.x, Y: q.y, Z: z1}, {X: p.x, Y: p.y, Z: z1}}
	}
	for i := from; i < to; i++ {
		b.belt(section(i), section(i+1))
	}
	if !full {
		p, q := section(from), section(to)
		b.quad(p[3], p[2], p[1], p[0])
		b.quad(q[0], q[1], q[2], q[3])
	}
	return b.solid()
}
