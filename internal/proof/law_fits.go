package proof

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"

	"feint/internal/diagram"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Runs tells which ways weight, springs and magnets carry a travel, forwards and
// backwards: surely, and perhaps.
type Runs func(travel int, q []float64, up geom.Vec) (sure, may [2]bool)

// LawClaim says that a law on units is that of a design, and what is to be shown by it.
type LawClaim struct {
	Law     *Law
	Travels []int // by level, -1 for the attitude and the tools
	Tools   []int // by tool, the level of its seats
	Growth  float64
	From    *DirectedReport // in whose last situation Start is; nil: in the design's start
	Start   diagram.Set
	Reached diagram.Set
	Goal    diagram.Set
	Home    diagram.Set       // said to hold all in which everything stands as at the start; Empty: not said
	Avoid   *mechanism.Region // nil for none
	Covers  []Cover           // what is claimed blocked: see Blocked
}

// LawFits looks whether the law of a claim is the design's. What the hand moves, what gives
// way, the attitudes and their neighbours and the start follow from the design, and are
// compared. Of the sets places are looked at, n of them, spread at random over what is
// reached but always the same:
//
//   - next to it, outside what may be free, some pair is claimed blocked, or the place lies
//     wholly in the region avoided;
//   - in it, pairs said to be surely clear are, on the meshes; what is said to run surely
//     does, and what may run is said to;
//   - anywhere in the goal, the place counts as goal.
//
// Of a tool, places are looked at in which it may be taken out and put in: they must count
// as such. What is said of the part of a seat while its tool is elsewhere does not matter.
//
// Give and Slack are the law's own (how steeply a part may be pushed) and taken as given.
func LawFits(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, runs Runs, c *LawClaim, n int) (looked int, err error) {
	k := &fits{
		ctx: ctx, m: m, c: c, runs: runs, rng: rand.New(rand.NewPCG(5, 6)), //nolint:gosec // no secret: the same places on every run
		w: &walk{m: m, trees: trees, growth: c.Growth, cache: newCache(trees), most: mostSifts},
	}
	if len(trees) != len(m.Parts) {
		return 0, fmt.Errorf("%w: %d meshes for %d parts", ErrRefused, len(trees), len(m.Parts))
	}
	if err := k.design(); err != nil {
		return 0, err
	}
	for i := range c.Covers {
		k.covers = append(k.covers, newFinder(m, &c.Covers[i]))
	}
	k.free = newUnits(ctx, c.Law).free
	for range n {
		if err := ctx.Err(); err != nil {
			return looked, err
		}
		ok, err := k.place()
		if err != nil {
			return looked, err
		}
		if ok {
			looked++
		}
	}
	return looked, c.Law.Space.Err()
}

// fits is a law under comparison.
type fits struct {
	ctx    context.Context
	m      *mechanism.Mechanism
	w      *walk
	c      *LawClaim
	runs   Runs
	covers []finder
	free   diagram.Set
	level  []int          // by travel
	seat   map[int][2]int // by part of a seat, its tool and seat
	rng    *rand.Rand
}

// design compares what follows from the design.
func (k *fits) design() error {
	l, m := k.c.Law, k.m
	levels := l.Space.Levels()
	if len(k.c.Travels) != len(levels) || len(k.c.Tools) != len(m.Tools) || len(levels) != len(m.Travels)+1+len(m.Tools) || l.Attitude < 0 || l.Attitude >= len(levels) || k.c.Travels[l.Attitude] >= 0 {
		return fmt.Errorf("%w: the law does not speak of the design's %d travels", ErrRefused, len(m.Travels))
	}
	k.level = make([]int, len(m.Travels))
	seen, beside := map[int]bool{}, map[int]bool{l.Attitude: true}
	for i, at := range k.c.Tools {
		if at < 0 || at >= len(levels) || beside[at] || k.c.Travels[at] >= 0 || int(levels[at].Size) != len(m.Tools[i].Seats) {
			return fmt.Errorf("%w: level %d is no tool's", ErrRefused, at)
		}
		beside[at] = true
	}
	for at, t := range k.c.Travels {
		if beside[at] {
			continue
		}
		if t < 0 || t >= len(m.Travels) || seen[t] || levels[at].Cyclic != m.Travels[t].Full {
			return fmt.Errorf("%w: level %d is travel %d", ErrRefused, at, t)
		}
		seen[t], k.level[t] = true, at
	}
	if len(l.Give) != len(levels) {
		return fmt.Errorf("%w: %d rows of how far is pushed", ErrRefused, len(l.Give))
	}
	k.seats()
	for _, f := range []func() error{k.hands, k.pairs, k.attitudes, k.starts, k.home, k.swaps} {
		if err := f(); err != nil {
			return err
		}
	}
	return nil
}

// hands compares what the hand leads.
func (k *fits) hands() error {
	said := map[diagram.Levels]bool{}
	for _, h := range k.c.Law.Hands {
		said[h] = true
	}
	for p := range k.m.Parts {
		var own diagram.Levels
		for _, t := range k.m.Parts[p].Travels {
			if k.m.Travels[t].Moved == mechanism.ByHand {
				own |= diagram.LevelsOf(k.level[t])
			}
		}
		if own != 0 && !said[own] {
			return fmt.Errorf("%w: the hand is not let lead %q", ErrRefused, k.m.Parts[p].Name)
		}
	}
	return nil
}

// pairs compares on what pairs depend and what of them gives way.
func (k *fits) pairs() error {
	sp := k.c.Law.Space
	for i := range k.c.Law.Pairs {
		p := &k.c.Law.Pairs[i]
		if p.A < 0 || p.B < 0 || p.A >= len(k.m.Parts) || p.B >= len(k.m.Parts) || p.A == p.B {
			return fmt.Errorf("%w: a pair of parts %d and %d", ErrRefused, p.A, p.B)
		}
		hangs := sp.Support(p.Free, p.Firm)
		if hangs&^p.On != 0 || !sp.Within(p.Firm, p.Free) {
			return fmt.Errorf("%w: the pair of %q and %q depends on more than is said", ErrRefused, k.m.Parts[p.A].Name, k.m.Parts[p.B].Name)
		}
		for _, j := range k.m.Between(p.A, p.B) {
			t := &k.m.Travels[j.Travel]
			own := diagram.LevelsOf(k.level[j.Travel])
			if yields := t.Moved != mechanism.ByHand || t.Spring != nil; yields && hangs&own != 0 && p.Yield&own == 0 {
				return fmt.Errorf("%w: %q of %q gives way when pushed, and is said not to", ErrRefused, t.Name, k.m.Parts[t.Part].Name)
			}
		}
	}
	return nil
}

// attitudes compares the attitudes and their neighbours.
func (k *fits) attitudes() error {
	ups, near := k.m.Ups(), k.c.Law.Near
	if len(near) != len(ups) || int(k.c.Law.Space.Levels()[k.c.Law.Attitude].Size) != len(ups) {
		return fmt.Errorf("%w: %d attitudes for %d of the design", ErrRefused, len(near), len(ups))
	}
	for a := range ups {
		said := map[int]bool{}
		for _, b := range near[a] {
			said[b] = true
		}
		for b := range ups {
			if b != a && neighbours(ups, ups[a], ups[b]) && !said[b] {
				return fmt.Errorf("%w: the box is not let turn from attitude %d to %d", ErrRefused, a+1, b+1)
			}
		}
	}
	return nil
}

// neighbours tells whether no third attitude lies between two.
func neighbours(ups []geom.Vec, a, b geom.Vec) bool {
	const slack = math.Pi / 180
	angle := func(a, b geom.Vec) float64 { return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) }
	for _, u := range ups {
		if !near(u, a) && !near(u, b) && angle(a, u)+angle(u, b) <= angle(a, b)+slack {
			return false
		}
	}
	return true
}

// starts looks whether the units that the start touches are in the start.
func (k *fits) starts() error {
	at, ok := k.c.Law.Space.Pick(k.c.Start, make([]int32, len(k.c.Travels)))
	if !ok {
		return fmt.Errorf("%w: there is no start", ErrRefused)
	}
	from := k.m.Start
	at[k.c.Law.Attitude] = 0
	for _, l := range k.c.Tools {
		at[l] = 0
	}
	if r := k.c.From; r != nil {
		if len(r.At) != len(k.m.Travels) || len(r.Seats) != len(k.c.Tools) {
			return fmt.Errorf("%w: it does not begin in a situation of the design", ErrRefused)
		}
		from = r.At
		for a, up := range k.m.Ups() {
			if near(up, r.Up) {
				at[k.c.Law.Attitude] = int32(a)
			}
		}
		for i, l := range k.c.Tools {
			at[l] = int32(r.Seats[i])
		}
	}
	ok = true
	k.about(from, at, func(p []int32) { ok = ok && k.c.Law.Space.Contains(k.c.Start, p) })
	if !ok {
		return fmt.Errorf("%w: the start is not the design's", ErrRefused)
	}
	return nil
}

// home looks whether the units that the start touches, however the box is held, are home.
func (k *fits) home() error {
	if k.c.Home == diagram.Empty {
		return nil
	}
	ok := true
	for a := range k.m.Ups() {
		at, _ := k.c.Law.Space.Pick(k.c.Start, make([]int32, len(k.c.Travels)))
		at[k.c.Law.Attitude] = int32(a)
		for _, l := range k.c.Tools {
			at[l] = 0
		}
		k.about(k.m.Start, at, func(p []int32) { ok = ok && k.c.Law.Space.Contains(k.c.Home, p) })
	}
	if !ok {
		return fmt.Errorf("%w: the start does not count as such on the way back", ErrRefused)
	}
	return nil
}

// about lists the units that the values touch, each border by itself; at has the attitude
// and the seats.
func (k *fits) about(values []float64, at []int32, each func([]int32)) {
	other := append([]int32(nil), at...)
	for t := range k.m.Travels {
		l := k.level[t]
		if k.away(k.m.Travels[t].Part, at) {
			continue
		}
		v := (values[t] - k.m.Travels[t].Lo) / k.width(t)
		at[l] = k.clip(l, math.Floor(v+unitError))
		other[l] = k.clip(l, math.Floor(v-unitError))
	}
	for l := range at {
		p := append([]int32(nil), at...)
		p[l] = other[l]
		each(p)
	}
}

// width is that of a unit of travel t.
func (k *fits) width(t int) float64 {
	tr := &k.m.Travels[t]
	if w := (tr.Hi - tr.Lo) / float64(k.c.Law.Space.Levels()[k.level[t]].Size); w > 0 {
		return w
	}
	return 1
}

func (k *fits) clip(l int, u float64) int32 {
	v := k.c.Law.Space.Levels()[l]
	if v.Cyclic {
		return int32(math.Mod(math.Mod(u, float64(v.Size))+float64(v.Size), float64(v.Size)))
	}
	return int32(min(max(u, 0), float64(v.Size-1)))
}
