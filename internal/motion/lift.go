package motion

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/clearance"
	"feint/internal/diagram"
)

// lifter turns a set of coordinates into a set of travels where a coordinate is
// the sum of several: the difference of two turns, say.
//
// All travels of a sum but the last (the deepest level) are cut into coarse
// equal units; for each of them the last travel takes the runs of the sum,
// shifted, and longer by one coarse unit. The set of travels made covers the set
// of coordinates from outside, and exceeds it by less than one coarse unit of
// every travel but the last.
type lifter struct {
	w      *world
	coords *diagram.Space // levels in the order of their last travels
	axes   []axis         // of the coordinates, in that order
	steps  []liftStep
	level  []int // by place in the map's coordinates, the level in coords
	memo   map[liftKey]diagram.Set
	needs  map[diagram.Set]diagram.Levels // coordinates on which a set depends
}

// liftStep is one travel, by level.
type liftStep struct {
	level  int
	ax     *axis
	coord  int // level of the coordinate in coords
	sign   int
	last   bool
	coarse int32 // units the travel is cut into, if not last
	spread float64
}

type liftKey struct {
	step int
	set  diagram.Set
	off  [clearance.MaxCoords]float64
}

func newLifter(w *world, p *pair) *lifter {
	l := &lifter{
		w: w, level: make([]int, len(p.coords)),
		memo: map[liftKey]diagram.Set{}, needs: map[diagram.Set]diagram.Levels{},
	}
	for i := range p.coords {
		for _, t := range p.coords[i].Terms {
			l.steps = append(l.steps, liftStep{level: w.level[t.Travel], ax: &w.axes[t.Travel], coord: i, sign: t.Sign})
		}
	}
	slices.SortFunc(l.steps, func(a, b liftStep) int { return cmp.Compare(a.level, b.level) })
	done := make([]bool, len(p.coords))
	order := make([]int, 0, len(p.coords))
	for i := len(l.steps) - 1; i >= 0; i-- {
		s := &l.steps[i]
		if s.last = !done[s.coord]; s.last {
			done[s.coord] = true
			order = append(order, s.coord)
		}
	}
	slices.Reverse(order)
	levels := make([]diagram.Level, len(order))
	for at, i := range order {
		l.level[i] = at
		l.axes = append(l.axes, p.axes[i])
		levels[at] = diagram.Level{Size: p.axes[i].size}
	}
	spread := make([]float64, len(order))
	for i := range l.steps {
		s := &l.steps[i]
		s.coord = l.level[s.coord]
		if !s.last {
			s.coarse = coarseUnits(s.ax, &w.opt, p.halves)
			spread[s.coord] += (s.ax.hi - s.ax.lo) / float64(s.coarse)
		}
		s.spread = spread[s.coord]
	}
	// the options are in order and no level is empty: New has nothing to refuse
	l.coords, _ = diagram.New(w.ctx, levels, diagram.Options{})
	return l
}

// coarseUnits is the number of equal units into which a travel is cut.
func coarseUnits(a *axis, o *Options, halves int) int32 {
	u := o.LiftSlide
	if a.angle {
		u = o.LiftTurn
	}
	u = math.Ldexp(u, -halves)
	n := int32(1)
	for n < a.size && (a.hi-a.lo)/float64(n) > u {
		n *= 2
	}
	return n
}

// lift is the set of travels that covers the union of the boxes.
func (l *lifter) lift(ends []int32) diagram.Set {
	x := l.coords.FromBoxes(l.level, ends)
	if l.coords.Err() != nil {
		l.w.fail(l.coords.Err())
		return diagram.Empty
	}
	return l.at(0, x, [clearance.MaxCoords]float64{})
}

// at is what becomes of the set x of the coordinates not yet passed, the sums
// begun standing at off to off + spread.
func (l *lifter) at(i int, x diagram.Set, off [clearance.MaxCoords]float64) diagram.Set {
	if x <= diagram.All || i == len(l.steps) {
		return x
	}
	if !l.steps[i].last && !l.depends(x, l.steps[i].coord) {
		return l.at(i+1, x, off)
	}
	key := liftKey{i, x, off}
	if y, ok := l.memo[key]; ok {
		return y
	}
	var y diagram.Set
	if s := &l.steps[i]; s.last {
		y = l.complete(i, s, x, off)
	} else {
		y = l.begin(i, s, x, off)
	}
	l.memo[key] = y
	return y
}

func (l *lifter) depends(x diagram.Set, coord int) bool {
	m, ok := l.needs[x]
	if !ok {
		m = l.coords.Support(x)
		l.needs[x] = m
	}
	return m&diagram.LevelsOf(coord) != 0
}

// begin adds one coarse unit of the travel after the other to the sum.
func (l *lifter) begin(i int, s *liftStep, x diagram.Set, off [clearance.MaxCoords]float64) diagram.Set {
	pieces := make([]diagram.Piece, s.coarse)
	per := s.ax.size / s.coarse
	before := off[s.coord]
	for u := range s.coarse {
		lo, hi := s.ax.value(u*per), s.ax.value((u+1)*per)
		if s.sign > 0 {
			off[s.coord] = before + lo
		} else {
			off[s.coord] = before - hi
		}
		pieces[u] = diagram.Piece{Hi: (u + 1) * per, To: l.at(i+1, x, off)}
	}
	return l.w.sp.Join(s.level, pieces)
}

// complete solves the sum for its last travel.
func (l *lifter) complete(i int, s *liftStep, x diagram.Set, off [clearance.MaxCoords]float64) diagram.Set {
	a := &l.axes[s.coord]
	from := off[s.coord]
	off[s.coord] = 0 // finished: one key for all
	var runs []paint
	at := int32(0)
	for _, p := range l.coords.Cut(x, s.coord) {
		lo, hi := a.value(at), a.value(p.Hi)
		at = p.Hi
		if p.To == diagram.Empty {
			continue
		}
		to := l.at(i+1, p.To, off)
		lo, hi = lo-from-s.spread, hi-from
		if s.sign < 0 {
			lo, hi = -hi, -lo
		}
		for _, r := range solutions(s.ax, a.cyclic, lo, hi) {
			runs = append(runs, paint{r, to})
		}
	}
	return layer(l.w.sp, s.level, s.ax.size, runs)
}

// solutions is the units of the travel whose value, give or take whole turns if
// the sum closes, lies in [lo, hi].
func solutions(t *axis, cyclic bool, lo, hi float64) []diagram.Run {
	if !cyclic || t.cyclic {
		return t.onto(t.outer(lo, hi))
	}
	var out []diagram.Run
	turn := 2 * math.Pi
	for k := math.Ceil((t.lo - hi) / turn); lo+k*turn <= t.hi; k++ {
		out = append(out, t.onto(t.outer(lo+k*turn, hi+k*turn))...)
	}
	return out
}

type paint struct {
	diagram.Run
	to diagram.Set
}

// layer is the union of the runs of one level, each with the set below it.
func layer(sp *diagram.Space, level int, size int32, runs []paint) diagram.Set {
	cuts := make([]int32, 0, 2*len(runs)+1)
	for _, r := range runs {
		cuts = append(cuts, r.Lo, r.Hi)
	}
	cuts = append(cuts, size)
	slices.Sort(cuts)
	slices.SortFunc(runs, func(a, b paint) int { return cmp.Compare(a.Lo, b.Lo) })
	var pieces []diagram.Piece
	var active []paint
	at := int32(0)
	for _, c := range cuts {
		if c == at {
			continue
		}
		for len(runs) > 0 && runs[0].Lo <= at {
			active = append(active, runs[0])
			runs = runs[1:]
		}
		to := diagram.Empty
		active = slices.DeleteFunc(active, func(p paint) bool { return p.Hi <= at })
		for _, p := range active {
			to = sp.Or(to, p.to)
		}
		pieces = append(pieces, diagram.Piece{Hi: c, To: to})
		at = c
	}
	return sp.Join(level, pieces)
}
