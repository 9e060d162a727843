package load

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// Under answers for every travel what the load does to it.
func Under(ts []Travel, l Load) []Freed {
	out := make([]Freed, len(ts))
	for i := range ts {
		out[i] = ts[i].Under(l)
	}
	return out
}

// Under tells what the load does to the travel.
func (t *Travel) Under(l Load) Freed {
	one := t.tilt
	switch l.Kind {
	case Shake:
		one = t.shake
	case Spin:
		one = t.spin
	case Knock:
		one = t.knock
	case Tilt:
	}
	return Freed{one(l, forward), one(l, backward)}
}

// tilt: the weight alone, in the attitude given or in the best of all.
func (t *Travel) tilt(l Load, way sense) Way {
	at := func(d geom.Vec) state { return t.under(r3.Scale(forces.Gravity, d), 0, way, t.Friction) }
	most := func(d geom.Vec) bool { return at(d).net().Hi > 0 }
	least := func(d geom.Vec) bool { return at(d).net().Lo > 0 }
	if l.Down == (geom.Vec{}) {
		return t.best(way, 1, geom.Vec{}, t.Friction).answer()
	}
	w := at(l.Down).answer()
	margin := func(ok func(geom.Vec) bool) float64 {
		if ok(l.Down) {
			return -tiltTo(l.Down, func(d geom.Vec) bool { return !ok(d) })
		}
		return tiltTo(l.Down, ok)
	}
	w.Margin = forces.Hull(margin(most), margin(least))
	return w
}

// best is the state under base plus g times standard gravity in the direction that
// pushes this way hardest. For a slide and a turn that is the direction of pull; of a
// helix the best lies in the plane of its axis and pull, to within a degree.
func (t *Travel) best(way sense, g float64, base geom.Vec, mu forces.Interval) state {
	at := func(d geom.Vec) state {
		return t.under(r3.Add(base, r3.Scale(g*forces.Gravity, d)), 0, way, mu)
	}
	w := r3.Scale(float64(way), t.pull())
	if r3.Norm(w) == 0 {
		return at(geom.Vec{})
	}
	w = r3.Unit(w)
	s := at(w)
	if t.Kind != mechanism.Helix {
		return s
	}
	side := r3.Cross(t.Axis.Dir, t.arm())
	if r3.Norm(side) == 0 {
		return s
	}
	side = r3.Unit(side)
	for i := range 360 {
		c := at(turnTo(t.Axis.Dir, side, float64(i)*math.Pi/180))
		if c.net().Lo > s.net().Lo {
			s = c
		}
	}
	return s
}

// shake: to and fro at Level g, with the weight added in the attitude given, or
// helping if any. Friction is taken from 0 on: what is shaken creeps even where its
// friction would hold it at rest (vibration defeats friction; common knowledge of
// bolted joints, G. H. Junker, SAE paper 690055 (1969), for the mechanism).
func (t *Travel) shake(l Load, way sense) Way {
	mu := forces.Interval{Hi: t.Friction.Hi}
	at := func(g float64) state {
		base := r3.Scale(forces.Gravity, l.Down)
		if l.Axis.Dir != (geom.Vec{}) {
			return t.alongLine(l, g, way, mu)
		}
		if l.Down == (geom.Vec{}) {
			g++
		}
		return t.best(way, g, base, mu)
	}
	w := at(l.Level).answer()
	// 1e6 g is far beyond any hand
	w.Margin = forces.Hull(
		threshold(0.01, 1e6, func(g float64) bool { return at(g).net().Hi > 0 }),
		threshold(0.01, 1e6, func(g float64) bool { return at(g).net().Lo > 0 })).Sub(forces.Exact(l.Level))
	return w
}

// alongLine is the better of shaking one and the other way along the line, with the
// weight in its attitude or, if any, along the same line.
func (t *Travel) alongLine(l Load, g float64, way sense, mu forces.Interval) state {
	d := r3.Unit(l.Axis.Dir)
	down := l.Down
	var out state
	for i, k := range [2]float64{1, -1} {
		if l.Down == (geom.Vec{}) {
			down = r3.Scale(k, d)
		}
		a := r3.Add(r3.Scale(forces.Gravity, down), r3.Scale(k*g*forces.Gravity, d))
		if s := t.under(a, 0, way, mu); i == 0 || s.net().Lo > out.net().Lo {
			out = s
		}
	}
	return out
}

// spinSteps is into how many attitudes a turn of the box is divided for the weight.
const spinSteps = 72

// spin: the outward push of a steady turn about l.Axis, and the weight, whose
// direction in the box goes round unless the axis is upright.
func (t *Travel) spin(l Load, way sense) Way {
	l.Axis.Dir = r3.Unit(l.Axis.Dir)
	at := func(rpm float64) state { return t.spinning(l, rpm, way) }
	w := at(l.Level).answer()
	// 1e5 rpm is far beyond any hand
	w.Margin = forces.Hull(
		threshold(1, 1e5, func(r float64) bool { return at(r).net().Hi > 0 }),
		threshold(1, 1e5, func(r float64) bool { return at(r).net().Lo > 0 })).Sub(forces.Exact(l.Level))
	return w
}

func (t *Travel) spinning(l Load, rpm float64, way sense) state {
	omega := 2 * math.Pi * rpm / 60
	n := l.Axis.Dir
	r := r3.Sub(t.Mass.Centre, l.Axis.Point)
	r = r3.Sub(r, r3.Scale(r3.Dot(r, n), n))
	out := r3.Scale(omega*omega*1e-3, r) // mm to m
	more := 0.0
	if t.Kind != mechanism.Slide {
		// the body's own extent: integral of y x (-n (n.y)) dm = -n x (I n), about the
		// centre of mass; kg mm2/s2 to N mm
		more = -omega * omega * 1e-3 * r3.Dot(t.Axis.Dir, r3.Cross(n, t.Mass.Inertia.Times(n)))
	}
	var best state
	for i, d := range spinWeights(l) {
		s := t.under(r3.Add(out, r3.Scale(forces.Gravity, d)), more, way, t.Friction)
		if i == 0 || s.net().Lo > best.net().Lo {
			best = s
		}
	}
	return best
}

// spinWeights are the directions in which the weight acts during one turn.
func spinWeights(l Load) []geom.Vec {
	n := l.Axis.Dir
	down := l.Down
	if down == (geom.Vec{}) {
		_, down = geom.Across(n) // a level axis is what lets the weight act all round
	}
	h := r3.Dot(down, n)
	side := r3.Sub(down, r3.Scale(h, n))
	if r3.Norm(side) < 1e-9 {
		return []geom.Vec{down}
	}
	up := r3.Cross(n, side)
	out := make([]geom.Vec, spinSteps)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / spinSteps)
		out[i] = r3.Add(r3.Scale(h, n), r3.Add(r3.Scale(c, side), r3.Scale(s, up)))
	}
	return out
}
