package motion

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"feint/internal/clearance"
	"feint/internal/diagram"
)

// reading tells for what undecided cells are taken.
type reading uint8

const (
	strict   reading = iota // undecided is blocked
	generous                // undecided is free
)

// BlockedMargin is by how much, mm, the upper bound of a cell must lie below a
// need for the cell to count as blocked: room for the separate checker, whose
// bounds are plainer than those of the maps, to confirm every witness.
const BlockedMargin = 0.002

// pair is one clearance map as the diagrams see it.
type pair struct {
	m      PairMap
	a, b   int
	coords []clearance.Coord
	axes   []axis // of the coordinates
	guide  bool   // one of the two parts guides the other: play does not help here

	cells  []clearance.Cell
	ends   []int32   // of the cells, in units of the coordinates
	lowers []float64 // of the cells, ascending
	uppers []float64

	sets   map[setKey]diagram.Set
	width  map[float64]float64 // by need, how fine it has been asked for
	shut   map[float64]bool    // overlaps at which it has been asked for what is blocked
	halves int                 // how often the unit of lifted sums was halved
}

type setKey struct {
	by   reading
	rank int // among the bounds: needs of one rank mean one set
}

func newPair(m PairMap) *pair {
	p := &pair{m: m, coords: m.Coords(), width: map[float64]float64{}, shut: map[float64]bool{}}
	p.a, p.b = m.Parts()
	for i := range p.coords {
		p.axes = append(p.axes, coordAxis(&p.coords[i]))
	}
	p.load()
	return p
}

// load reads the cells of the map anew. Where they are as they were, so are the sets.
func (p *pair) load() {
	n, same := 0, p.sets != nil
	for c := range p.m.Cells() {
		if same = same && n < len(p.cells) && p.cells[n] == c; !same {
			p.cells = append(p.cells[:n], c)
			p.ends = p.ends[:2*n*len(p.axes)]
			p.ends = append(p.ends, p.units(&c.Lo, &c.Hi)...)
		}
		n++
	}
	if same && n == len(p.cells) {
		return
	}
	p.cells, p.ends = p.cells[:n], p.ends[:2*n*len(p.axes)]
	p.lowers, p.uppers = p.lowers[:0], p.uppers[:0]
	for i := range p.cells {
		p.lowers = append(p.lowers, p.cells[i].Lower)
		p.uppers = append(p.uppers, p.cells[i].Upper)
	}
	slices.Sort(p.lowers)
	slices.Sort(p.uppers)
	p.forget()
}

// units are the ends of a cell in units of the coordinates.
func (p *pair) units(lo, hi *[clearance.MaxCoords]float64) []int32 {
	out := make([]int32, 0, 2*clearance.MaxCoords)
	for i := range p.axes {
		r := p.axes[i].outer(lo[i], hi[i])
		out = append(out, r.Lo, max(r.Hi, r.Lo+1))
	}
	return out
}

// forget drops the sets, for a new space or new cells.
func (p *pair) forget() { p.sets = map[setKey]diagram.Set{} }

// refine asks for the needs at the width given.
func (p *pair) refine(ctx context.Context, needs []float64, width float64) error {
	if err := p.m.Refine(ctx, needs, width); err != nil {
		return err
	}
	for _, n := range needs {
		p.width[n] = width
	}
	p.load()
	return nil
}

// fineness is the width to which need is known; infinite at first.
func (p *pair) fineness(need float64) float64 {
	if w, ok := p.width[need]; ok {
		return w
	}
	return math.Inf(1)
}

// undecided counts the cells that are neither free nor blocked at need.
func (p *pair) undecided(need float64) int {
	// cells not free less those blocked, since a blocked cell is not free
	return sort.SearchFloat64s(p.lowers, need) - sort.SearchFloat64s(p.uppers, need-BlockedMargin)
}

// set is the configurations at which the pair has the clearance need.
func (p *pair) set(w *world, need float64, by reading) diagram.Set {
	key := setKey{by, sort.SearchFloat64s(p.lowers, need)}
	if by == generous {
		key.rank = sort.SearchFloat64s(p.uppers, need-BlockedMargin)
	}
	if x, ok := p.sets[key]; ok {
		return x
	}
	x := p.build(w, need, by)
	p.sets[key] = x
	return x
}

// build covers from outside what is taken for blocked (strictly) or for free
// (generously); the strict set is then the rest. Either way rounding errs on the
// side of the reading.
func (p *pair) build(w *world, need float64, by reading) diagram.Set {
	k := len(p.coords)
	var ends []int32
	n := 0
	for i := range p.cells {
		c := &p.cells[i]
		if by == strict && c.Lower >= need || by == generous && c.Upper < need-BlockedMargin {
			continue
		}
		n++
		ends = append(ends, p.ends[i*2*k:(i+1)*2*k]...)
	}
	var x diagram.Set
	switch {
	case n == 0:
		x = diagram.Empty
	case n == len(p.cells):
		x = diagram.All
	default:
		x = p.cover(w, ends)
	}
	if by == strict {
		return w.sp.Not(x)
	}
	return x
}

// cover is the configurations whose coordinates may lie in one of the boxes.
func (p *pair) cover(w *world, ends []int32) diagram.Set {
	levels, mirrored, ok := p.direct(w)
	if !ok {
		return newLifter(w, p).lift(ends)
	}
	k := len(levels)
	for i, m := range mirrored {
		if !m {
			continue
		}
		n := p.axes[i].size
		for at := 2 * i; at < len(ends); at += 2 * k {
			ends[at], ends[at+1] = n-ends[at+1], n-ends[at]
		}
	}
	return w.sp.FromBoxes(levels, ends)
}

// direct tells whether every coordinate is one travel over its whole range, so
// that the cells lie on the travels' own units; some may run the other way.
func (p *pair) direct(w *world) (levels []int, mirrored []bool, ok bool) {
	for i := range p.coords {
		c := &p.coords[i]
		if len(c.Terms) != 1 {
			return nil, nil, false
		}
		t := &w.axes[c.Terms[0].Travel]
		lo, hi, back := t.lo, t.hi, c.Terms[0].Sign < 0
		if back && !c.Cyclic {
			lo, hi = -hi, -lo
		}
		if !near(c.Lo, lo) || !near(c.Hi, hi) || c.Cyclic != t.cyclic || p.axes[i].size != t.size {
			return nil, nil, false
		}
		levels = append(levels, w.level[c.Terms[0].Travel])
		mirrored = append(mirrored, back)
	}
	return levels, mirrored, true
}

// near compares limits that were computed in two places; 1e-9 mm is below snap.
func near(x, y float64) bool { return math.Abs(x-y) <= 1e-9 }

// check refuses maps that the diagrams cannot take.
func (p *pair) check(w *world) error {
	seen := map[int]bool{}
	for i := range p.coords {
		c := &p.coords[i]
		for _, j := range c.Terms {
			if j.Travel < 0 || j.Travel >= len(w.axes) || seen[j.Travel] {
				return fmt.Errorf("motion: map of parts %d and %d: travel %d in two coordinates", p.a, p.b, j.Travel)
			}
			seen[j.Travel] = true
			if w.axes[j.Travel].cyclic && !c.Cyclic {
				return fmt.Errorf("motion: map of parts %d and %d: coordinate %d does not close", p.a, p.b, i)
			}
		}
	}
	return nil
}
