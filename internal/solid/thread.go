package solid

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// sharp is the width of a crest, mm, below which it is drawn as an edge.
const sharp = 0.02

// ridge is the section of a thread: half widths at radii, from the inside out,
// reaching past the shell lo to hi where it can.
type ridge struct {
	lo, hi float64 // the shell
	in     rung
	out    rung
}

// rung is the half width of a ridge at a radius.
type rung struct{ r, half float64 }

func threadRidge(p mechanism.Thread) (ridge, error) {
	var g ridge
	if err := positive("h", p.H, "the root radius", p.Root, "the crest radius", p.Crest, "the root width", p.RootWidth); err != nil {
		return g, err
	}
	if !finite(p.CrestWidth) || p.CrestWidth < 0 {
		return g, fmt.Errorf("a crest %g mm wide: give 0 or more", p.CrestWidth)
	}
	if p.Starts < 1 || p.Lead == 0 || !finite(p.Lead) || p.Root == p.Crest {
		return g, fmt.Errorf("a thread of %d starts, lead %g and height %g mm: give 1 or more starts, a lead and two different radii", p.Starts, p.Lead, p.Crest-p.Root)
	}
	if pitch, w := math.Abs(p.Lead)/float64(p.Starts), max(p.RootWidth, p.CrestWidth); w >= pitch-tiny {
		return g, fmt.Errorf("ridges %.4g mm wide meet at a pitch of %.4g mm: make them narrower or the lead larger", w, pitch)
	}
	a, b := rung{p.Root, p.RootWidth / 2}, rung{p.Crest, p.CrestWidth / 2}
	if a.r > b.r {
		a, b = b, a
	}
	g.lo, g.hi = a.r, b.r
	g.in, g.out = past(b, a), past(a, b)
	if g.in.r >= g.lo { // a sharp edge bounds itself: the shell keeps clear of it
		g.lo -= min(beyond, g.lo/2)
	}
	if g.out.r <= g.hi {
		g.hi += beyond
	}
	return g, nil
}

// past carries the flank from a through b on beyond b, unless the ridge is sharp
// there.
func past(a, b rung) rung {
	slope := (b.half - a.half) / (b.r - a.r)
	d := beyond
	if b.r < a.r {
		d = -min(beyond, b.r/2)
	}
	if narrower := slope * d; narrower < 0 {
		if b.half <= sharp/2 {
			return b
		}
		d *= min(1, (b.half-sharp/4)/-narrower)
	}
	return rung{b.r + d, b.half + slope*d}
}

// thread makes the ridges within the tube between root and crest.
func (l *lowering) thread(p mechanism.Thread, f frame) (*expr, error) {
	g, err := threadRidge(p)
	if err != nil {
		return nil, err
	}
	c := l.circle(f)
	turns := float64(p.Starts) * (1 + p.H/math.Abs(p.Lead))
	if err := bounded(turns * float64(4*c.n*len(g.rungs(p.Lead, c.step(), l.o.Tolerance)))); err != nil {
		return nil, err
	}
	var bodies []*mesh.Mesh
	for k := range p.Starts {
		bodies = append(bodies, g.helix(p, c, 2*math.Pi*float64(k)/float64(p.Starts), l.o.Tolerance)...)
	}
	return &expr{op: mechanism.Common, args: []*expr{
		l.add(merge(bodies), f),
		l.add(tube(c, g.lo, g.hi, 0, p.H, 0, c.n), f),
	}}, nil
}

// rungs divide the flanks radially: a quad of theirs is twisted out of its plane
// by step dr cos/4, cos the part of the normal round the axis.
func (g ridge) rungs(lead, step, tol float64) []rung {
	dr := g.out.r - g.in.r
	slope := (g.out.half - g.in.half) / dr
	tilt := math.Abs(lead) / (2 * math.Pi * g.in.r)
	cos := tilt / math.Sqrt(1+tilt*tilt+slope*slope)
	n := max(1, int(math.Ceil(dr*step*cos/(4*tol*twisted))))
	out := make([]rung, n+1)
	for i := range out {
		t := float64(i) / float64(n)
		out[i] = rung{g.in.r + t*dr, g.in.half + t*(g.out.half-g.in.half)}
	}
	return out
}

// helix is one ridge from below z = 0 to above H, in pieces of half a turn, so
// that no piece meets itself.
func (g ridge) helix(p mechanism.Thread, c circle, turned, tol float64) []*mesh.Mesh {
	step, k := c.step(), c.factor()
	rs := g.rungs(p.Lead, step, tol)
	rise := math.Abs(p.Lead) / (2 * math.Pi) * step
	hand := math.Copysign(1, p.Lead)
	margin := max(g.in.half, g.out.half) + beyond
	// vertices of the ridge stand on the division of the axis
	shift := math.Remainder(turned-c.phase, step)
	from := int(math.Floor(-margin/rise)) - 1
	to := int(math.Ceil((p.H+margin)/rise)) + 1
	section := func(i int) []geom.Vec {
		z := float64(i)*rise - hand*shift*rise/step
		a := turned - shift + hand*float64(i)*step
		at := func(r rung, side float64) geom.Vec {
			q := polar(r.r*k, a)
			return geom.Vec{X: q.x, Y: q.y, Z: z + side*r.half}
		}
		var ring []geom.Vec
		for _, r := range rs {
			ring = append(ring, at(r, -1))
		}
		for i := len(rs) - 1; i >= 0; i-- {
			ring = append(ring, at(rs[i], 1))
		}
		return ring
	}
	var out []*mesh.Mesh
	for ; from < to; from += c.n / 2 {
		out = append(out, lofted(section, from, min(to, from+c.n/2)))
	}
	return out
}

// lofted joins sections whose first half runs out along one flank and whose
// second half comes back along the other. Both flanks are divided along the same
// diagonals, so that their twist moves both the same way and the volume stays.
func lofted(section func(i int) []geom.Vec, from, to int) *mesh.Mesh {
	b := newBuilder()
	p := section(from)
	n := len(p)
	b.ladder(p, true)
	for i := from; i < to; i++ {
		q := section(i + 1)
		for j := range p {
			k := (j + 1) % n
			if j < n/2 {
				b.quad(p[j], p[k], q[k], q[j])
			} else { // from p[k] to q[j], the same way out as above
				b.quad(p[k], q[k], q[j], p[j])
			}
		}
		p = q
	}
	b.ladder(p, false)
	return b.solid()
}

// ladder closes a section between its flanks.
func (b *builder) ladder(p []geom.Vec, first bool) {
	n := len(p)
	for j := 1; j < n/2; j++ {
		w, x, y, z := p[j-1], p[j], p[n-1-j], p[n-j]
		if first {
			b.quad(z, y, x, w)
		} else {
			b.quad(x, y, z, w)
		}
	}
}
