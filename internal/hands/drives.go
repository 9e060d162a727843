package hands

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/diagram"
	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

const (
	// turnPiece is into what pieces a turn is cut to ask which way it falls, radians.
	turnPiece = math.Pi / 18
	// springPieces is into how many pieces the travel of a spring is cut.
	springPieces = 8
	// mostPieces bounds the pieces of a travel together with the turns it rides on.
	mostPieces = 1200
)

// push is what forces do to a travel in one attitude and configuration: both ways.
type push func(t int, q []float64, up geom.Vec) load.Freed

// byDesign is the forces that the design gives a travel: weight where it falls or a
// spring carries it, spring and detents. Other travels stay where they are left.
func (b *bench) byDesign(t int, q []float64, up geom.Vec) load.Freed {
	tr := &b.m.Travels[t]
	if tr.Moved != mechanism.ByGravity && tr.Spring == nil {
		return load.Freed{}
	}
	return b.weighed(t, q, up)
}

// weighed is what weight, spring and detents do to travel t at q.
func (b *bench) weighed(t int, q []float64, up geom.Vec) load.Freed {
	one := b.c.Box.Travels(q)[t]
	one.Hold, one.Bias = holdAt(&b.m.Travels[t], q[t]), biasAt(&b.m.Travels[t], q[t])
	down := geom.Vec{X: -up.X, Y: -up.Y, Z: -up.Z}
	return load.Map([]load.Travel{one}, []geom.Vec{down})[0].Free[0]
}

// holdAt is what detents and latches hold a travel with at v, N or N mm.
func holdAt(t *mechanism.Travel, v float64) forces.Interval {
	most := 0.0
	for _, d := range t.Detents {
		if apart(t, v, d.At) <= d.Width/2 {
			most = max(most, d.Force)
		}
	}
	for _, l := range t.Latches {
		if apart(t, v, l.At) <= latchWidth(&l) {
			most = max(most, l.Force)
		}
	}
	return forces.Exact(most)
}

// latchWidth is how near to its place a latch holds with its full force.
func latchWidth(l *mechanism.Latch) float64 { return l.Reach / 10 }

func apart(t *mechanism.Travel, v, at float64) float64 {
	d := math.Abs(v - at)
	if t.Full {
		d = math.Mod(d, t.Hi-t.Lo)
		d = min(d, t.Hi-t.Lo-d)
	}
	return d
}

// biasAt is the push of the spring at v, forwards positive.
func biasAt(t *mechanism.Travel, v float64) forces.Interval {
	s := t.Spring
	if s == nil {
		return forces.Interval{}
	}
	far := t.Hi - v
	if s.Toward < 0 {
		far = v - t.Lo
	}
	return forces.Exact(float64(s.Toward) * (s.Preload + s.Rate*max(0, far)))
}

// drives asks of every travel which way it is carried, attitude by attitude and
// piece by piece of its way.
func (b *bench) drives(by reading, ask push) []Drive {
	var out []Drive
	for t := range b.m.Travels {
		out = append(out, b.carried(t, by, ask)...)
		out = append(out, b.drawn(t)...)
	}
	return out
}

// carried is the drives of travel t, forwards and backwards.
func (b *bench) carried(t int, by reading, ask push) []Drive {
	var sure, may [2]diagram.Set
	for a, up := range b.ups {
		at := b.sp.Runs(b.attitude(), diagram.Run{Lo: int32(a), Hi: int32(a) + 1})
		for _, p := range b.pieces(t) {
			f := p.answers(func(q []float64) load.Freed { return ask(t, q, up) })
			for way, ans := range f {
				if ans == forces.No {
					continue
				}
				where := b.sp.And(at, p.set)
				may[way] = b.sp.Or(may[way], where)
				if ans == forces.Yes {
					sure[way] = b.sp.Or(sure[way], where)
				}
			}
		}
	}
	var out []Drive
	exists := b.exists(b.m.Travels[t].Part)
	for way := range sure {
		d := Drive{Level: b.lat.Level(t), Up: way == 0, Sure: b.sp.And(sure[way], exists), May: b.sp.And(may[way], exists)}
		if by == strict {
			d.May = d.Sure
		}
		// a spring pushes what yields; whether a weight does is not known
		d.Pushes = (b.m.Travels[t].Spring != nil || by == generous) && b.meets(t)
		if d.May != diagram.Empty {
			out = append(out, d)
		}
	}
	return out
}

// meets tells whether travel t may push something that yields.
func (b *bench) meets(t int) bool {
	for i := range b.lat.Pairs() {
		on := b.lat.Moving(i)
		if !slices.Contains(on, t) {
			continue
		}
		for _, u := range on {
			if u != t && yields(&b.m.Travels[u]) {
				return true
			}
		}
	}
	return false
}

// drawn is the drives of the magnets that draw a travel to a place, each from
// both sides.
func (b *bench) drawn(t int) []Drive {
	var out []Drive
	tr := &b.m.Travels[t]
	for _, l := range tr.Latches {
		for _, up := range [2]bool{true, false} {
			k := mechanism.Bound{Travel: t, Lo: l.At - l.Reach, Hi: l.At - latchWidth(&l)}
			if !up {
				k.Lo, k.Hi = l.At+latchWidth(&l), l.At+l.Reach
			}
			at := b.lat.Inside(k)
			if at != diagram.Empty {
				out = append(out, Drive{Level: b.lat.Level(t), Up: up, Sure: at, May: at})
			}
		}
	}
	return out
}

// piece is a part of the way of a travel, and of the turns that it rides on, with
// configurations at its corners and in its middle.
type piece struct {
	set diagram.Set
	at  [][]float64
}

// answers are those that hold in the whole piece, forwards and backwards.
func (p *piece) answers(ask func(q []float64) load.Freed) [2]forces.Answer {
	var out [2]forces.Answer
	for i, q := range p.at {
		f := ask(q)
		for way, w := range [2]forces.Answer{f.Forward.Free, f.Backward.Free} {
			if i == 0 {
				out[way] = w
			} else if out[way] != w {
				out[way] = forces.Maybe
			}
		}
	}
	return out
}

// pieces cuts the way of a travel wherever what carries it may change.
func (b *bench) pieces(t int) []piece {
	out := []piece{{set: diagram.All, at: [][]float64{b.m.Start}}}
	turns := b.ridesOn(t)
	count := 1
	for _, u := range append(turns, t) {
		cuts := b.cuts(u, u == t)
		if count *= len(cuts) - 1; count > mostPieces {
			return b.whole(t, turns)
		}
		out = b.divide(out, u, cuts)
	}
	return out
}

// ridesOn lists the turns that carry travel t about.
func (b *bench) ridesOn(t int) []int {
	var out []int
	part := b.m.Travels[t].Part
	own := b.m.Parts[part].Travels
	add := func(ts []int) {
		for _, u := range ts {
			if b.m.Travels[u].Kind != mechanism.Slide {
				out = append(out, u)
			}
		}
	}
	add(own[:slices.Index(own, t)])
	for p := b.m.Parts[part].Carrier; p >= 0; p = b.m.Parts[p].Carrier {
		add(b.m.Parts[p].Travels)
	}
	return out
}

// cuts lists the borders of the pieces of a travel.
func (b *bench) cuts(u int, own bool) []float64 {
	tr := &b.m.Travels[u]
	n := 1
	if tr.Kind != mechanism.Slide {
		n = max(1, int(math.Ceil((tr.Hi-tr.Lo)/turnPiece)))
	} else if own && tr.Spring != nil && tr.Spring.Rate > 0 {
		n = springPieces
	}
	var out []float64
	for i := range n + 1 {
		out = append(out, tr.Lo+(tr.Hi-tr.Lo)*float64(i)/float64(n))
	}
	if own {
		for _, d := range tr.Detents {
			out = append(out, d.At-d.Width/2, d.At+d.Width/2)
		}
		for _, l := range tr.Latches {
			out = append(out, l.At-latchWidth(&l), l.At+latchWidth(&l))
		}
	}
	slices.Sort(out)
	out = slices.DeleteFunc(out, func(v float64) bool { return v < tr.Lo || v > tr.Hi })
	return slices.CompactFunc(out, func(a, c float64) bool { return math.Abs(a-c) < 1e-9 })
}

// divide cuts pieces along travel u. A unit that a cut divides goes to both sides.
func (b *bench) divide(ps []piece, u int, cuts []float64) []piece {
	var out []piece
	for _, p := range ps {
		for i := range cuts[:len(cuts)-1] {
			lo, hi := cuts[i], cuts[i+1]
			n := piece{set: b.sp.And(p.set, b.sp.Runs(b.lat.Level(u), b.run(u, lo, hi)))}
			for _, q := range p.at {
				// not the borders themselves, where a detent begins or ends
				for _, f := range [3]float64{1e-6, 0.5, 1 - 1e-6} {
					r := slices.Clone(q)
					r[u] = lo + f*(hi-lo)
					n.at = append(n.at, r)
				}
			}
			if n.set != diagram.Empty {
				out = append(out, n)
			}
		}
	}
	return out
}

// run is the units whose middle lies in [lo, hi].
func (b *bench) run(u int, lo, hi float64) diagram.Run {
	unit := b.lat.Unit(u)
	at := func(v float64) int32 {
		if unit <= 0 {
			return 0
		}
		return int32(math.Round((v - b.m.Travels[u].Lo) / unit))
	}
	r := diagram.Run{Lo: at(lo), Hi: at(hi)}
	if r.Hi == r.Lo && cmp.Compare(hi, lo) > 0 {
		r.Hi++
	}
	return r
}

// whole is one piece for everything, looked at in many places.
func (b *bench) whole(t int, turns []int) []piece {
	p := piece{set: diagram.All}
	const n = 12
	for i := range n * n {
		q := slices.Clone(b.m.Start)
		for k, u := range append(turns, t) {
			tr := &b.m.Travels[u]
			f := math.Mod(float64(i)*[3]float64{1.0 / n, 1.0 / (n * n), 0.618}[min(k, 2)], 1)
			q[u] = tr.Lo + f*(tr.Hi-tr.Lo)
		}
		p.at = append(p.at, q)
	}
	return []piece{p}
}
