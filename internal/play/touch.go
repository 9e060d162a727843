package play

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// stroke is a motion by growing t from 0 to most, in the assembly frame; speed is how
// fast the fastest point goes, mm per unit of t.
type stroke struct {
	mesh.Sweep
	most, speed float64
}

// pushed is a push along a unit vector.
func pushed(e geom.Vec) *stroke {
	return &stroke{Sweep: mesh.Sweep{Push: e}, most: MaxPush, speed: 1}
}

// tipped is a tip about a line by t radians, of what reaches so far from it.
func tipped(l geom.Line, reach float64) *stroke {
	return &stroke{Sweep: mesh.Sweep{Spin: l.Dir, Centre: l.Point}, most: MaxTip, speed: reach}
}

// advance goes along a motion until contact. It tells how far it came and whether it
// was stopped.
func (b *bench) advance(k *stroke) (float64, bool) {
	end := k.most
	for _, o := range b.guides {
		if o < 0 || b.trees[o] == nil {
			continue
		}
		frame := b.m.Pose(o, b.m.Start).Inverse()
		own := &stroke{Sweep: k.In(frame), most: k.most, speed: k.speed}
		end = b.trees[b.part].SweepPairs(b.trees[o], b.pose.Then(frame), own.Sweep, end, func(x, y *geom.Triangle, end float64) float64 {
			return min(end, own.touch(x, y, end))
		})
	}
	return end, end < k.most
}

// touch is the t, before end, at which the triangle a, moved, comes within Touch of b
// and would then touch it at the soonest; +Inf if it does not.
func (k *stroke) touch(a, b *geom.Triangle, end float64) float64 {
	moved := *a
	for t := 0.0; t < end; {
		d, p, q := moved.Distance(b)
		if d <= Touch {
			return t + d/k.speed
		}
		// half of Touch on, so that it ends: the bound alone creeps up to the contact
		t += k.soonest(&moved, d-Touch/2, r3.Scale(1/d, r3.Sub(p, q)))
		if t < end {
			g := k.At(t)
			moved = geom.Triangle{g.Apply(a[0]), g.Apply(a[1]), g.Apply(a[2])}
		}
	}
	return math.Inf(1)
}

// soonest is how much further t must grow at least until the triangle a, which stands
// off a convex body in the direction n, comes nearer to it by far.
func (k *stroke) soonest(a *geom.Triangle, far float64, n geom.Vec) float64 {
	speed, bend := math.Inf(-1), 0.0
	for _, p := range a {
		v, b := k.Velocity(p)
		speed, bend = max(speed, -r3.Dot(n, v)), max(bend, b)
	}
	return mesh.Arrival(far, speed, bend)
}
