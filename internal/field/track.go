package field

import (
	"math"

	"feint/internal/geom"
)

// Track is what a round pin sweeps whose middle follows a path on a surface, its
// axis square to the surface and endless outwards. On a Round surface the path
// gives angle and z and the pin points from the axis of z outwards; otherwise x
// and y, and the pin points along z.
type Track struct {
	Round    bool
	R        float64      // Round only: the least radius that matters, mm
	Path     [][2]float64 // at least two points; equal neighbours are not allowed
	Width    float64      // diameter of the pin
	Closed   bool         // the end is the start again
	FlatEnds bool         // the sweep is cut square at the ends of the path

	// With Roof not 0 the pin carries a roof: at height s along its axis it is
	// drawn out towards rising z (or y) by max(0, Roof (s - RoofAt)).
	Roof, RoofAt float64
}

// spot is where a point is seen from the pin at (u, v): s along the pin's axis,
// a and b across it.
type spot struct{ s, a, b float64 }

type seen struct {
	round  bool
	x, y   float64 // flat
	r, ang float64 // round
	z      float64
}

func (k *Track) see(p geom.Vec) seen {
	if !k.Round {
		return seen{x: p.X, y: p.Y, z: p.Z}
	}
	return seen{round: true, r: math.Hypot(p.X, p.Y), ang: math.Atan2(p.Y, p.X), z: p.Z}
}

func (q *seen) from(u, v float64) spot {
	if !q.round {
		return spot{q.z, q.x - u, q.y - v}
	}
	s, c := math.Sincos(q.ang - u)
	if c < 0 { // behind the axis: the pin begins at the axis
		return spot{0, q.r, q.z - v}
	}
	return spot{q.r * c, q.r * s, q.z - v}
}

func (k *Track) lift(s float64) float64 { return max(0, k.Roof*(s-k.RoofAt)) }

// pin is the distance from the roofed pin at (u, v), not yet less its radius,
// as a function that changes by up to sqrt 2 a mm where there is a roof.
func (k *Track) pin(q *seen, u, v float64) float64 {
	o := q.from(u, v)
	b := o.b
	if b > 0 {
		b = max(0, b-k.lift(o.s))
	}
	return math.Hypot(o.a, b)
}

// run is a straight piece of the path; a cut end is square.
type run struct {
	a, b       [2]float64
	cutA, cutB bool
}

// runs are the pieces of the path. A piece with a cut end is kept short, three
// quarters of the width, so that the half space of the cut meets nothing else.
func (k *Track) runs() []run {
	var rs []run
	n := len(k.Path) - 1
	for i := range n {
		rs = append(rs, run{a: k.Path[i], b: k.Path[i+1]})
	}
	if k.Closed || !k.FlatEnds {
		return rs
	}
	rs[0].cutA, rs[n-1].cutB = true, true
	first, last := rs[0], rs[n-1]
	var pieces []run
	if m, ok := k.split(first.a, first.b); ok {
		pieces = append(pieces, run{a: first.a, b: m, cutA: true})
		rs[0].a, rs[0].cutA = m, false
	}
	if m, ok := k.split(last.b, rs[n-1].a); ok {
		pieces = append(pieces, run{a: m, b: last.b, cutB: true})
		rs[n-1].b, rs[n-1].cutB = m, false
	}
	return append(pieces, rs...)
}

// split is the point of a-b three quarters of the width from a.
func (k *Track) split(a, b [2]float64) ([2]float64, bool) {
	du, dv := b[0]-a[0], b[1]-a[1]
	mm := du
	if k.Round {
		mm *= k.R
	}
	t := 0.75 * k.Width / math.Hypot(mm, dv)
	return [2]float64{a[0] + t*du, a[1] + t*dv}, t < 0.5
}

// Field is the bound of the sweep; exact outside where there is no roof and
// all ends are round.
func (k Track) Field() Field {
	scale := 1.0
	if k.Roof != 0 {
		scale = 1 / math.Sqrt2
	}
	runs := k.runs()
	return func(p geom.Vec) float64 {
		q := k.see(p)
		d := math.Inf(1)
		for _, r := range runs {
			if (k.atLeast(&q, &r)-k.Width/2)*scale >= d {
				continue
			}
			f := (k.sweep(&q, r.a, r.b) - k.Width/2) * scale
			if r.cutA {
				f = max(f, k.end(&q, r.a, r.b))
			}
			if r.cutB {
				f = max(f, k.end(&q, r.b, r.a))
			}
			d = min(d, f)
		}
		return d
	}
}

// atLeast is less than every pin distance over the run: how far the point lies
// outside the range of its angles (or x) and heights.
func (k *Track) atLeast(q *seen, r *run) float64 {
	lo, hi := min(r.a[0], r.b[0]), max(r.a[0], r.b[0])
	a := max(0, lo-q.x, q.x-hi)
	at, lift := q.z, 0.0
	if q.round {
		a = q.r
		off := math.Abs(math.Remainder(q.ang-(lo+hi)/2, 2*math.Pi)) - (hi-lo)/2
		if off < math.Pi/2 {
			a = q.r * math.Sin(max(0, off))
		}
		lift = max(k.lift(0), k.lift(q.r))
	} else {
		at, lift = q.y, k.lift(q.z)
	}
	b := max(0, min(r.a[1], r.b[1])-at, at-max(r.a[1], r.b[1])-lift)
	return math.Hypot(a, b)
}

// sweep is the least pin distance over the run from a to b.
func (k *Track) sweep(q *seen, a, b [2]float64) float64 {
	du, dv := b[0]-a[0], b[1]-a[1]
	if k.Roof == 0 && (!k.Round || du == 0 || dv == 0) {
		return k.straight(q, a, b)
	}
	at := func(t float64) float64 { return k.pin(q, a[0]+t*du, a[1]+t*dv) }
	n := 4
	if k.Round { // between samples less than 1/16 of a turn apart a minimum stands alone
		n += int(math.Abs(du) / (math.Pi / 8))
	}
	v := make([]float64, n+1)
	for i := range v {
		v[i] = at(float64(i) / float64(n))
	}
	best := math.Inf(1)
	for i, x := range v {
		if (i > 0 && v[i-1] < x) || (i < n && v[i+1] < x) {
			continue
		}
		lo, hi := float64(max(0, i-1))/float64(n), float64(min(n, i+1))/float64(n)
		best = min(best, x, golden(at, lo, hi))
	}
	return best
}

// straight is sweep where the nearest pin is known at once: on a flat, along the
// axis, and round it.
func (k *Track) straight(q *seen, a, b [2]float64) float64 {
	du, dv := b[0]-a[0], b[1]-a[1]
	var t float64
	switch {
	case !k.Round:
		t = ((q.x-a[0])*du + (q.y-a[1])*dv) / (du*du + dv*dv)
	case du == 0:
		t = (q.z - a[1]) / dv
	default: // the angle nearest to the point's, a whole number of turns away
		mid := (a[0] + b[0]) / 2
		t = (mid + math.Remainder(q.ang-mid, 2*math.Pi) - a[0]) / du
	}
	t = min(1, max(0, t))
	return k.pin(q, a[0]+t*du, a[1]+t*dv)
}

// goldenSteps narrows an interval by 0.618^48 = 1e-10 of its length.
const goldenSteps = 48

func golden(f func(float64) float64, lo, hi float64) float64 {
	g := (math.Sqrt(5) - 1) / 2
	x, y := hi-g*(hi-lo), lo+g*(hi-lo)
	fx, fy := f(x), f(y)
	for range goldenSteps {
		if fx < fy {
			hi, y, fy = y, x, fx
			x = hi - g*(hi-lo)
			fx = f(x)
		} else {
			lo, x, fx = x, y, fy
			y = lo + g*(hi-lo)
			fy = f(y)
		}
	}
	return min(fx, fy)
}

// end is the bound of the half space that holds the run from a to b as seen from
// its end at a. Across a helical run its surface twists along the pin; the
// divisor keeps it from changing by more than 1 mm a mm.
func (k *Track) end(q *seen, a, b [2]float64) float64 {
	o := q.from(a[0], a[1])
	du, dv := b[0]-a[0], b[1]-a[1]
	if k.Round {
		du *= o.s
	}
	l := math.Hypot(du, dv)
	if l == 0 || (k.Round && o.s == 0) { // behind the axis
		return math.Inf(-1)
	}
	if k.Roof != 0 && dv < 0 { // an upper end: the roof rises beyond it
		return -(o.a*du + (o.b-k.lift(o.s))*dv) / l / math.Sqrt2
	}
	d := -(o.a*du + o.b*dv) / l
	if k.Round && du != 0 && dv != 0 {
		twist := math.Hypot(o.a, o.b) * math.Abs(du*dv) / (l * l * max(o.s, 1e-9))
		d /= math.Sqrt(1 + twist*twist)
	}
	return d
}
