package play

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// mostListed bounds the distance up to which near pairs are listed, mm: beyond, the
// lists grow faster than they save looks at all there is.
const mostListed = 0.35

// close is a triangle of the part and one of a guide, in the assembly as it starts,
// how far they are apart and the direction from the guide's to the part's.
type close struct {
	a, b geom.Triangle
	d    float64
	n    geom.Vec
}

// list lists the pairs nearer than far.
func (b *bench) list(far float64) {
	b.near, b.listed = b.near[:0], far
	for _, o := range b.guides {
		if o < 0 || b.trees[o] == nil {
			continue
		}
		back := b.m.Pose(o, b.m.Start)
		b.trees[b.part].Pairs(b.trees[o], b.pose.Then(back.Inverse()), far, func(x, y *geom.Triangle) {
			if d, p, q := x.Distance(y); d < far && d > 0 {
				b.near = append(b.near, close{placed(x, back), placed(y, back), d, back.Turn(r3.Scale(1/d, r3.Sub(p, q)))})
			}
		})
	}
}

func placed(t *geom.Triangle, g geom.Motion) geom.Triangle {
	return geom.Triangle{g.Apply(t[0]), g.Apply(t[1]), g.Apply(t[2])}
}

// stroke is a motion by growing t from 0 to most; speed is how fast the fastest point
// goes, mm per unit of t.
type stroke struct {
	most, speed float64
	at          func(t float64) geom.Motion
	// from is a lower bound of how much further t must grow until the triangle a,
	// which stands d off a convex body in the direction n, comes within left of it.
	from func(a *geom.Triangle, d, left float64, n geom.Vec) float64
}

// pushed is a push along a unit vector. A body d off along n stays off by d + t n.e.
func pushed(e geom.Vec) *stroke {
	return &stroke{
		most: MaxPush, speed: 1,
		at: func(t float64) geom.Motion { return geom.Translation(r3.Scale(t, e)) },
		from: func(_ *geom.Triangle, d, left float64, n geom.Vec) float64 {
			if v := -r3.Dot(n, e); v > 0 {
				return (d - left) / v
			}
			return math.Inf(1)
		},
	}
}

// tipped is a tip about a line by t radians. A point at radius r about it goes, along
// n, by t n.(w x p) but for r t^2/2.
func tipped(l geom.Line, reach float64) *stroke {
	return &stroke{
		most: MaxTip, speed: reach,
		at: func(t float64) geom.Motion { return geom.Rotation(l, t) },
		from: func(a *geom.Triangle, d, left float64, n geom.Vec) float64 {
			away, r := math.Inf(1), 0.0
			for _, v := range a {
				w := r3.Cross(l.Dir, r3.Sub(v, l.Point))
				away, r = min(away, r3.Dot(n, w)), max(r, r3.Norm(w))
			}
			if r == 0 {
				return math.Inf(1)
			}
			return (away + math.Sqrt(away*away+2*r*(d-left))) / r
		},
	}
}

// firstTouch is the least t at which a listed pair comes within Touch, as free tells
// it; more than what a stroke allows if none does.
func (b *bench) firstTouch(k *stroke) float64 {
	first, soonest := -1, math.Inf(1)
	for i := range b.near {
		c := &b.near[i]
		if t := k.from(&c.a, c.d, Touch, c.n); t < soonest {
			first, soonest = i, t
		}
	}
	if first < 0 || soonest > k.most {
		return math.Inf(1)
	}
	best := min(b.near[first].touch(k, k.most), k.most)
	for i := range b.near {
		c := &b.near[i]
		if k.from(&c.a, c.d, Touch, c.n) < best {
			best = min(best, c.touch(k, best))
		}
	}
	if best >= k.most {
		return math.Inf(1)
	}
	return best
}

// touch is the t, before end, at which the pair comes within Touch and would then
// touch at the soonest; +Inf if it does not.
func (c *close) touch(k *stroke, end float64) float64 {
	t, d, n := 0.0, c.d, c.n
	a := c.a
	for t < end {
		if d <= Touch {
			return t + d/k.speed
		}
		// half of Touch on, so that it ends: the bound alone creeps up to the contact
		t += k.from(&a, d, Touch/2, n)
		if !(t < end) {
			break
		}
		a = placed(&c.a, k.at(t))
		var p, q geom.Vec
		if d, p, q = a.Distance(&c.b); d > 0 {
			n = r3.Scale(1/d, r3.Sub(p, q))
		}
	}
	return math.Inf(1)
}
