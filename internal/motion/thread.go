package motion

import (
	"context"
	"math"

	"feint/internal/clearance"
	"feint/internal/diagram"
)

// A map of three coordinates or more is too large to be refined everywhere: where its
// parts touch is a surface at least. It is asked along ways only. As long as the generous
// reading has a way into the goal, the cells that the way leads through are made finer,
// until they are free, or blocked and another way is tried, or as fine as can be.

// threadable is a map that can be asked in some cells alone.
type threadable interface {
	// RefineWhere is Refine, at one need, in the cells that matter; it counts those divided.
	RefineWhere(ctx context.Context, need, width float64, where func(lo, hi *[clearance.MaxCoords]float64) bool) (int, error)
}

// roomyCoords is from how many coordinates on a map is asked along ways only.
const roomyCoords = 3

// roomy tells whether the map is asked along ways only.
func (p *pair) roomy() bool {
	_, ok := p.m.(threadable)
	return ok && len(p.coords) >= roomyCoords
}

// roomyPairs are those of w.
func (w *world) roomyPairs() []*pair {
	var out []*pair
	for _, p := range w.pairs {
		if p.roomy() {
			out = append(out, p)
		}
	}
	return out
}

// Ways are asked for at coarse widths first: firstThread mm, then refineBy times finer.
const firstThread = 2.56

// mostThreads bounds the ways that are looked at for one answer.
const mostThreads = 2000

// thread refines the maps that are asked along ways for a question: free makes anew what
// may be free, need is that of a pair. It is false if nothing was refined: there is no
// way but through cells of these maps that are open and as fine as can be, or one that
// leads through no open cell of theirs.
// inHand are sets to be kept.
func (w *world) thread(what string, free func() diagram.Set, need func(*pair) float64, inHand ...diagram.Set) (bool, error) {
	roomy := w.roomyPairs()
	if len(roomy) == 0 {
		return false, nil
	}
	some := false
	shut := diagram.Empty // cells that are as fine as can be and open: another way is tried
	for range mostThreads {
		w.tidy(append(inHand, shut)...)
		lines := w.lines(w.sp.Minus(free(), shut))
		if err := w.trouble(); err != nil {
			return false, err
		}
		more, open := false, diagram.Empty
		for _, p := range roomy {
			did, err := p.along(w, lines, need(p))
			if err != nil {
				return false, err
			}
			if more = more || did; !more {
				open = w.sp.Or(open, p.openOn(w, lines, need(p)))
			}
		}
		switch {
		case more:
			some = true
			w.opt.Progress(what, 0, 0)
			w.refresh()
		case open == diagram.Empty || w.sp.Within(open, shut):
			return some, w.trouble()
		default:
			shut = w.sp.Or(shut, open)
		}
	}
	return some, w.trouble()
}

// openOn is the cells undecided at need through which the lines lead.
func (p *pair) openOn(w *world, lines []line, need float64) diagram.Set {
	k := len(p.coords)
	var ends []int32
	for _, i := range p.openAt(need, p.on(lines)) {
		ends = append(ends, p.ends[i*2*k:(i+1)*2*k]...)
	}
	if len(ends) == 0 {
		return diagram.Empty
	}
	return p.cover(w, ends)
}

// finestFor is the width at which a need is last asked.
func (w *world) finestFor(need float64) float64 {
	if need < 0 {
		return w.opt.FinestDepth
	}
	return w.opt.FinestWidth
}

// along refines the open cells through which the lines lead, at the coarsest width at
// which there is anything to divide.
func (p *pair) along(w *world, lines []line, need float64) (bool, error) {
	if math.IsInf(need, 0) || p.undecided(need) == 0 {
		return false, nil
	}
	where := p.on(lines)
	if len(p.openAt(need, where)) == 0 {
		return false, nil
	}
	finest := w.finestFor(need)
	for width := max(firstThread, finest); ; width = max(width/refineBy, finest) {
		n, err := p.refineOn(w.ctx, where, need, width)
		if n > 0 || err != nil || width <= finest {
			return n > 0, err
		}
	}
}

// star refines the cells that one travel after the other runs through from the start.
func (p *pair) star(w *world, need, width float64) error {
	var lines []line
	for i := range p.coords {
		for _, t := range p.coords[i].Terms {
			a := &w.axes[t.Travel]
			lines = append(lines, line{at: w.m.Start, travel: t.Travel, lo: a.lo, hi: a.hi})
		}
	}
	where := p.on(lines)
	for at := max(firstThread, width); ; at = max(at/refineBy, width) {
		if _, err := p.refineOn(w.ctx, where, need, at); err != nil || at <= width {
			return err
		}
	}
}

// refineOn refines the cells that matter and reads the map anew.
func (p *pair) refineOn(ctx context.Context, where func(lo, hi *[clearance.MaxCoords]float64) bool, need, width float64) (int, error) {
	n, err := p.m.(threadable).RefineWhere(ctx, need, width, where) //nolint:forcetypeassert // it is roomy
	if err == nil {
		p.load()
	}
	return n, err
}

// on tells of a cell whether one of the lines leads through it.
func (p *pair) on(lines []line) func(lo, hi *[clearance.MaxCoords]float64) bool {
	var boxes []coordBox
	for i := range lines {
		boxes = append(boxes, p.boxes(&lines[i])...)
	}
	return func(lo, hi *[clearance.MaxCoords]float64) bool {
		for i := range boxes {
			if boxes[i].meets(lo, hi, len(p.coords)) {
				return true
			}
		}
		return false
	}
}

// openAt lists the cells that matter and are undecided at need.
func (p *pair) openAt(need float64, where func(lo, hi *[clearance.MaxCoords]float64) bool) (out []int) {
	for i := range p.cells {
		if c := &p.cells[i]; c.Lower < need && c.Upper >= need-BlockedMargin && where(&c.Lo, &c.Hi) {
			out = append(out, i)
		}
	}
	return out
}

// line is a straight piece of a way: the values of all travels, of which one runs.
type line struct {
	at     []float64 // by travel
	travel int       // that runs, -1 for none
	lo, hi float64   // from and to where
}

// coordBox is what the coordinates of a pair run through.
type coordBox struct{ lo, hi [clearance.MaxCoords]float64 }

// meets tells whether a cell of n coordinates lies on it.
func (b *coordBox) meets(lo, hi *[clearance.MaxCoords]float64, n int) bool {
	for i := range n {
		if b.lo[i] > hi[i] || b.hi[i] < lo[i] {
			return false
		}
	}
	return true
}

// boxes are those of a line; two where a coordinate that closes runs over its end.
func (p *pair) boxes(l *line) []coordBox {
	out := []coordBox{{}}
	for i := range p.coords {
		c := &p.coords[i]
		lo, hi := 0.0, 0.0
		for _, t := range c.Terms {
			from, to := l.at[t.Travel], l.at[t.Travel]
			if t.Travel == l.travel {
				from, to = l.lo, l.hi
			}
			if t.Sign < 0 {
				from, to = -to, -from
			}
			lo, hi = lo+from, hi+to
		}
		pieces := [][2]float64{{lo, hi}}
		if c.Cyclic {
			pieces = folded(lo, hi, c.Lo, c.Hi)
		}
		var next []coordBox
		for _, b := range out {
			for _, s := range pieces {
				b.lo[i], b.hi[i] = s[0], s[1]
				next = append(next, b)
			}
		}
		out = next
	}
	return out
}

// folded brings [lo, hi] into a range that closes. Where its ends meet belongs to both.
func folded(lo, hi, from, to float64) [][2]float64 {
	turn := to - from
	if hi-lo >= turn {
		return [][2]float64{{from, to}}
	}
	k := math.Floor((lo - from) / turn)
	lo, hi = lo-k*turn, hi-k*turn
	if hi > to {
		return [][2]float64{{lo, to}, {from, hi - turn}}
	}
	out := [][2]float64{{lo, hi}}
	if lo-from < seam {
		out = append(out, [2]float64{to, to})
	}
	if to-hi < seam {
		out = append(out, [2]float64{from, from})
	}
	return out
}

// seam is how near to the end of a range that closes a value is the other end as well,
// radians: rounding.
const seam = 1e-9

// lines are a shortest way by the generous reading within free; where there is none, the
// start alone.
func (w *world) lines(free diagram.Set) []line {
	start := line{at: append([]float64(nil), w.m.Start...), travel: -1}
	b := w.board(free)
	layers, ok := b.Layers(w.start, w.goal[generous])
	if !ok || w.trouble() != nil {
		return []line{start}
	}
	narrow := b.Narrow(layers, w.goal[generous])
	k := &walker{w: w, b: b, off: true, way: &Way{}, at: append([]float64(nil), w.m.Start...)}
	k.unit = w.startPoint(narrow[0])
	b.Walk(narrow, k.unit, k.move)
	out := []line{start}
	at := append([]float64(nil), w.m.Start...)
	for _, mv := range k.way.Moves {
		for _, s := range mv.Strokes {
			l := line{at: append([]float64(nil), at...), travel: s.Travel, lo: min(s.From, s.To), hi: max(s.From, s.To)}
			out = append(out, l)
			at[s.Travel] = k.home(s.Travel, s.To)
		}
	}
	return out
}

// home is a value of a ring within its range.
func (k *walker) home(t int, v float64) float64 {
	a := &k.w.axes[t]
	if !a.cyclic {
		return v
	}
	turn := a.hi - a.lo
	return v - math.Floor((v-a.lo)/turn)*turn
}
