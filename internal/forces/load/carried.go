package load

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Carried tells whether travel t, at the configuration q with the way up of the box
// upwards, surely runs on by itself, forwards or backwards: a travel that the design
// lets fall or puts on a spring, against its friction, its detents and the latch that
// holds it; and one that is within the reach of a latch, to its place. Hold and Bias of
// the box are not used.
func (b *Box) Carried(t int, q []float64, up geom.Vec) (forwards, backwards bool) {
	sure, _ := b.Runs(t, q, up)
	return sure[0], sure[1]
}

// Runs is Carried, forwards and backwards, surely and perhaps.
func (b *Box) Runs(t int, q []float64, up geom.Vec) (sure, may [2]bool) {
	tr := &b.Mechanism.Travels[t]
	if tr.Moved == mechanism.ByGravity || tr.Spring != nil {
		one := b.Hanging(t, q)
		f := one.tilted(geom.Vec{X: -up.X, Y: -up.Y, Z: -up.Z})
		for i, free := range [2]forces.Answer{f.Forward.Free, f.Backward.Free} {
			sure[i], may[i] = free == forces.Yes, free != forces.No
		}
	}
	for i := range tr.Latches {
		l := &tr.Latches[i]
		if d := aside(tr, q[t], l.At); math.Abs(d) <= l.Reach && math.Abs(d) > latchHolds*l.Reach {
			way := 0
			if d > 0 {
				way = 1
			}
			sure[way], may[way] = true, true
		}
	}
	return sure, may
}

// latchHolds is the share of its reach within which a latch holds with its full force
// (our convention).
const latchHolds = 0.1

// aside is how far the value v lies beyond at; on a full turn the shorter way.
func aside(t *mechanism.Travel, v, at float64) float64 {
	if t.Full {
		return math.Remainder(v-at, t.Hi-t.Lo)
	}
	return v - at
}

// held is what the detents and latches at v hold with, N or N mm.
func held(t *mechanism.Travel, v float64) float64 {
	most := 0.0
	for i := range t.Detents {
		if d := &t.Detents[i]; math.Abs(aside(t, v, d.At)) <= d.Width/2 {
			most = max(most, d.Force)
		}
	}
	for i := range t.Latches {
		if l := &t.Latches[i]; math.Abs(aside(t, v, l.At)) <= latchHolds*l.Reach {
			most = max(most, l.Force)
		}
	}
	return most
}

// sprung is the push of the spring at v, forwards positive, N or N mm.
func sprung(t *mechanism.Travel, v float64) float64 {
	s := t.Spring
	switch {
	case s == nil:
		return 0
	case s.Toward < 0:
		return -(s.Preload + s.Rate*max(0, v-t.Lo))
	default:
		return s.Preload + s.Rate*max(0, t.Hi-v)
	}
}

// Hanging is the data of travel t at q with what the design says that holds and drives
// it there: detents and latches, the spring. Hold and Bias of the box are not used.
func (b *Box) Hanging(t int, q []float64) Travel {
	one, tr := b.Travel(t, q), &b.Mechanism.Travels[t]
	one.Hold, one.Bias = forces.Exact(held(tr, q[t])), forces.Exact(sprung(tr, q[t]))
	return one
}
