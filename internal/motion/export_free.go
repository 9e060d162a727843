package motion

import (
	"context"
	"fmt"
	"slices"

	"feint/internal/clearance"
	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// Lattice is the maps of a mechanism laid out on equal units of the travels, as
// coarse as asked, with levels of its own beside those of the travels: what a
// question needs that goes unit by unit.
type Lattice struct {
	w      *world
	extras int
}

// NewLattice lays maps out on units of at most slide mm and turn radians. extras
// are the sizes of levels beside the travels; they stand above them.
func NewLattice(ctx context.Context, m *mechanism.Mechanism, maps []PairMap, slide, turn float64, extras []int32) (*Lattice, error) {
	wide := *m
	wide.Travels, wide.Start = slices.Clone(m.Travels), slices.Clone(m.Start)
	for _, n := range extras {
		wide.Travels = append(wide.Travels, mechanism.Travel{Name: "beside", Hi: float64(n)})
		wide.Start = append(wide.Start, 0)
	}
	w, err := newWorld(ctx, &wide, maps, Options{}.withDefaults())
	if err != nil {
		return nil, err
	}
	for t := range m.Travels {
		a := &w.axes[t]
		u := slide
		if a.angle {
			u = turn
		}
		n := int32(1)
		for n < a.size && (a.hi-a.lo)/float64(n) > u {
			n *= 2
		}
		a.size = n
	}
	for i, n := range extras {
		w.axes[len(m.Travels)+i] = axis{hi: float64(n), size: n}
	}
	var order []int
	for i := range extras {
		order = append(order, len(m.Travels)+i)
	}
	listed := w.orders()[1] // each travel beside those that it shares a map with
	for _, t := range listed {
		if t < len(m.Travels) {
			order = append(order, t)
		}
	}
	if err := w.layOut(order); err != nil {
		return nil, err
	}
	return &Lattice{w: w, extras: len(extras)}, w.trouble()
}

// Space is the space of the lattice.
func (l *Lattice) Space() *diagram.Space { return l.w.sp }

// Err is the first thing that makes the sets meaningless.
func (l *Lattice) Err() error { return l.w.trouble() }

// Level is the level of travel t; extra levels count on from the travels.
func (l *Lattice) Level(t int) int { return l.w.level[t] }

// Travel is the inverse of Level.
func (l *Lattice) Travel(level int) int { return l.w.travel[level] }

// Unit is the width of a unit of travel t, mm or radians.
func (l *Lattice) Unit(t int) float64 { return l.w.axes[t].unit() }

// Value is the lower border of unit u of travel t.
func (l *Lattice) Value(t int, u int32) float64 { return l.w.axes[t].value(u) }

// Units is the number of units of travel t.
func (l *Lattice) Units(t int) int32 { return l.w.axes[t].size }

// Within is the units inside the bound, or that have a value in it if it is
// narrower than a unit.
func (l *Lattice) Within(b mechanism.Bound) diagram.Set { return l.w.reachable(b) }

// Inside is the units that lie wholly within the bound.
func (l *Lattice) Inside(b mechanism.Bound) diagram.Set { return l.w.inside(b) }

// Touching is the units that have a value within the bound.
func (l *Lattice) Touching(b mechanism.Bound) diagram.Set { return l.w.touching(b) }

// Pairs lists the parts of every map.
func (l *Lattice) Pairs() [][2]int {
	out := make([][2]int, len(l.w.pairs))
	for i, p := range l.w.pairs {
		out[i] = [2]int{p.a, p.b}
	}
	return out
}

// Firm is where the parts of map i surely have the clearance need, Free where
// they may have it.
func (l *Lattice) Firm(i int, need float64) diagram.Set {
	return l.w.pairs[i].set(l.w, need, strict)
}

// Free is where the parts of map i may have the clearance need.
func (l *Lattice) Free(i int, need float64) diagram.Set {
	return l.w.pairs[i].set(l.w, need, generous)
}

// Refine asks map i for need at the width, mm of clearance; the sets made before
// stay as they are. A map that is asked along ways elsewhere is asked only
// where one travel leaves the start.
func (l *Lattice) Refine(i int, need, width float64) error {
	if i < 0 || i >= len(l.w.pairs) {
		return fmt.Errorf("motion: lattice of %d maps has no map %d", len(l.w.pairs), i)
	}
	p := l.w.pairs[i]
	if p.roomy() {
		return p.star(l.w, need, width)
	}
	return p.refine(l.w.ctx, []float64{need}, width)
}

// AlongWays tells whether Refine asks map i only where one travel leaves the start.
func (l *Lattice) AlongWays(i int) bool { return l.w.pairs[i].roomy() }

// RefineIn asks map i for need at the width in the cells that meet a set of the lattice's
// space; the sets made before stay as they are. It tells how many cells that meet it are
// undecided still.
func (l *Lattice) RefineIn(i int, need, width float64, in diagram.Set) (int, error) {
	p := l.w.pairs[i]
	if !p.roomy() {
		return 0, p.refine(l.w.ctx, []float64{need}, width)
	}
	in, whole := l.seen(p, in)
	where := func(lo, hi *[clearance.MaxCoords]float64) bool {
		return slices.ContainsFunc(l.boxes(p, whole, lo, hi), func(b []diagram.Run) bool { return l.w.sp.MeetsBox(in, b) })
	}
	if _, err := p.refineOn(l.w.ctx, where, need, width); err != nil {
		return 0, err
	}
	return len(p.openAt(need, where)), l.w.trouble()
}

// seen is the set with only those levels left that are coordinates of the pair by
// themselves, and the runs of all units.
func (l *Lattice) seen(p *pair, in diagram.Set) (diagram.Set, []diagram.Run) {
	levels := l.w.sp.Levels()
	whole := make([]diagram.Run, len(levels))
	var rest diagram.Levels
	for k := range levels {
		whole[k].Hi = levels[k].Size
		rest |= diagram.LevelsOf(k)
	}
	for i := range p.coords {
		if ts := p.coords[i].Terms; len(ts) == 1 {
			rest &^= diagram.LevelsOf(l.w.level[ts[0].Travel])
		}
	}
	return l.w.sp.Exists(rest, in), whole
}

// boxes are the units that a cell covers, of the travels that are coordinates by
// themselves.
func (l *Lattice) boxes(p *pair, whole []diagram.Run, lo, hi *[clearance.MaxCoords]float64) [][]diagram.Run {
	out := [][]diagram.Run{slices.Clone(whole)}
	for i := range p.coords {
		ts := p.coords[i].Terms
		if len(ts) != 1 {
			continue
		}
		a, from, to := &l.w.axes[ts[0].Travel], lo[i], hi[i]
		if ts[0].Sign < 0 {
			from, to = -to, -from
		}
		rs := a.onto(a.outer(from, to))
		n := len(out)
		for _, r := range rs[min(1, len(rs)):] {
			for _, b := range out[:n] {
				b = slices.Clone(b)
				b[l.w.level[ts[0].Travel]] = r
				out = append(out, b)
			}
		}
		for _, b := range out[:n] {
			if len(rs) > 0 {
				b[l.w.level[ts[0].Travel]] = rs[0]
			}
		}
	}
	return out
}

// Undecided counts the cells of map i that are neither free nor blocked at need.
func (l *Lattice) Undecided(i int, need float64) int { return l.w.pairs[i].undecided(need) }

// Collect frees every set but those kept; the lattice makes its own anew.
func (l *Lattice) Collect(keep ...diagram.Set) {
	l.w.forget()
	l.w.sp.Collect(append(keep, l.w.start, l.w.goal[strict], l.w.goal[generous])...)
}

// Moving lists the travels on which map i depends, ascending.
func (l *Lattice) Moving(i int) []int {
	var out []int
	for k := range l.w.pairs[i].coords {
		for _, j := range l.w.pairs[i].coords[k].Terms {
			out = append(out, j.Travel)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
