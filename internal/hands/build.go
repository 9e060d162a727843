package hands

import (
	"math"

	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// steepest is the most by which a pushed part is taken to run ahead of its pusher,
// way for way: a wedge of 63 degrees. Beyond it a friction of 0.5 jams it, the usual
// upper value for dry plastic (common practice, no source).
const steepest = 2.0

// slack is how many units beyond contact a pushed part is surely clear: two for the
// rounding of both parts to the lattice, and one or two for the width of the maps, whose
// clearance grows by at least 0.45 of the way at the steepest.
const slack = 4

// law says which of the laws of motion a board is to have.
type law struct {
	by     reading
	growth float64
	avoid  int            // the step that is to be avoided, -1 for none
	still  map[int]bool   // parts that rest where they start
	drives func() []Drive // nil: those of the design
	idle   bool           // the hand moves nothing
	upset  bool           // the box is not turned
	// needs are, by pair, what it needs to be surely and to be possibly free, mm, where
	// they are not those of the growth
	needs [][2]float64
}

// board makes the board of a law.
func (b *bench) board(l law) *Board {
	out := &Board{Space: b.sp, Free: b.present(), Attitude: -1, Mixed: l.by == generous, Give: b.give(), Slack: slack}
	if !l.upset {
		out.Attitude, out.Near = b.attitude(), b.near
	}
	for i, parts := range b.lat.Pairs() {
		out.Pairs = append(out.Pairs, b.pair(i, parts, l))
	}
	if l.drives != nil {
		out.Drives = l.drives()
	} else {
		out.Drives = b.drives(l.by, b.byDesign)
	}
	if !l.idle {
		b.movers(out, l)
		b.swaps(out, l.by)
	}
	for p := range l.still {
		for _, t := range b.m.Parts[p].Travels {
			v := b.m.Start[t]
			out.Free = b.sp.And(out.Free, b.lat.Touching(mechanism.Bound{Travel: t, Lo: v, Hi: v}))
		}
	}
	if l.avoid >= 0 {
		round := b.lat.Touching
		if l.by == generous {
			round = b.lat.Inside
		}
		out.Avoid = b.region(&b.m.Steps[l.avoid], round)
	}
	out.Prepare()
	out.tidy = b.collect
	b.boards = append(b.boards, out)
	return out
}

// present keeps what is elsewhere parked.
func (b *bench) present() diagram.Set {
	x := diagram.All
	for p := range b.m.Parts {
		if b.seat[p][0] >= 0 {
			x = b.sp.And(x, b.sp.Or(b.exists(p), b.parked[p]))
		}
	}
	return x
}

func (b *bench) pair(i int, parts [2]int, l law) Pair {
	need := b.m.Needs(parts[0], parts[1], l.growth)
	needs := [2]float64{need, need}
	if l.needs != nil {
		needs = l.needs[i]
	}
	p := Pair{Firm: b.lat.Firm(i, needs[0])}
	p.Free = p.Firm
	if l.by == generous {
		p.Free = b.lat.Free(i, needs[1])
	}
	if needs[0] > needs[1] {
		p.Apart = b.lat.Firm(i, needs[1])
	}
	for _, part := range parts {
		if b.seat[part][0] >= 0 {
			away := b.sp.Not(b.exists(part))
			p.Firm, p.Free = b.sp.Or(p.Firm, away), b.sp.Or(p.Free, away)
			if needs[0] > needs[1] {
				p.Apart = b.sp.Or(p.Apart, away)
			}
		}
	}
	on := b.sp.Support(p.Free, p.Firm) // what never touches pushes nothing
	if b.touches(&p, needs) {
		for _, t := range b.lat.Moving(i) {
			on |= diagram.LevelsOf(b.lat.Level(t))
		}
		p.On = on
	}
	for _, t := range b.lat.Moving(i) {
		if on&diagram.LevelsOf(b.lat.Level(t)) == 0 {
			continue
		}
		if yields(&b.m.Travels[t]) {
			p.Yield |= diagram.LevelsOf(b.lat.Level(t))
		}
	}
	return p
}

// touches tells whether parts whose need is not known exactly may touch somewhere, whatever
// the two sets depend on: at some need between, where they touch may depend on more.
func (b *bench) touches(p *Pair, needs [2]float64) bool {
	return needs[0] > needs[1] && (p.Free != diagram.All || p.Firm != diagram.All)
}

// yields tells whether a travel gives way when pushed. What only the hand moves
// is moved out of the way by the hand.
func yields(t *mechanism.Travel) bool {
	return t.Moved != mechanism.ByHand || t.Spring != nil
}

// movers lists the parts that the hand moves, with all their travels that it does.
func (b *bench) movers(out *Board, l law) {
	for p := range b.m.Parts {
		var m diagram.Levels
		for _, t := range b.m.Parts[p].Travels {
			if b.m.Travels[t].Moved == mechanism.ByHand {
				m |= diagram.LevelsOf(b.lat.Level(t))
			}
		}
		if m != 0 && !l.still[p] {
			out.Movers = append(out.Movers, m)
		}
	}
}

// mover is the part of mover i of a board made by movers.
func (b *bench) mover(m diagram.Levels) int {
	for t := range b.m.Travels {
		if m&diagram.LevelsOf(b.lat.Level(t)) != 0 {
			return b.m.Travels[t].Part
		}
	}
	return -1
}

// swaps lets every tool be taken from one seat to another.
func (b *bench) swaps(out *Board, by reading) {
	round := [2]func(mechanism.Bound) diagram.Set{b.lat.Within, b.lat.Touching}[by]
	for i := range b.m.Tools {
		t := &b.m.Tools[i]
		s := Swap{Levels: diagram.LevelsOf(b.tool(i))}
		for _, seat := range t.Seats {
			for _, k := range b.m.Parts[seat.Part].Travels {
				s.Levels |= diagram.LevelsOf(b.lat.Level(k))
			}
		}
		for n, seat := range t.Seats {
			at := b.seated(i, n)
			for _, k := range seat.Out {
				at = b.sp.And(at, round(k))
			}
			for o, other := range t.Seats {
				if o != n {
					at = b.sp.And(at, b.parked[other.Part])
				}
			}
			s.Ends = append(s.Ends, at)
		}
		out.Swaps = append(out.Swaps, s)
	}
}

// give is how many units of one travel go with one of another at the steepest.
func (b *bench) give() [][]int32 {
	n := len(b.sp.Levels())
	out := make([][]int32, n)
	for k := range out {
		out[k] = make([]int32, n)
	}
	for k := range b.m.Travels {
		for j := range b.m.Travels {
			if j != k {
				r := steepest * b.wide(k) / b.wide(j)
				out[b.lat.Level(k)][b.lat.Level(j)] = int32(math.Ceil(min(r, 1e6)))
			}
		}
	}
	return out
}

// wide is how far a unit of travel t moves a point at most, mm.
func (b *bench) wide(t int) float64 {
	u := b.lat.Unit(t)
	tr := &b.m.Travels[t]
	switch {
	case u <= 0:
		return 1e-6
	case tr.Kind == mechanism.Slide:
		return u
	case tr.Kind == mechanism.Helix:
		return u * math.Hypot(b.radius(t), tr.Lead/(2*math.Pi))
	default:
		return u * b.radius(t)
	}
}

func (b *bench) radius(t int) float64 {
	if t < len(b.c.Radius) && b.c.Radius[t] > 0 {
		return b.c.Radius[t]
	}
	return 1
}
