package motion

import (
	"math"

	"feint/internal/diagram"
)

// walker turns a walk over units into values a person can follow.
type walker struct {
	w    *world
	b    *Board
	unit []int32
	at   []float64
	way  *Way
	off  bool // moves end within what is free, not where they are easily told
}

// shortest looks for a shortest way under the question, strictly; nil if there is
// none. rooms are growths within whose free sets it is kept, the first first, as long as
// that costs no move.
func (w *world) shortest(q *question, rooms ...float64) *Way {
	b := w.board(w.freeFor(q, strict))
	layers, room := w.roomy(q, b, rooms)
	if layers == nil {
		return nil
	}
	narrow := b.Narrow(layers, w.goal[strict])
	wk := &walker{w: w, b: b, way: &Way{Growth: q.g, room: room}, at: append([]float64(nil), w.m.Start...)}
	wk.unit = w.startPoint(narrow[0])
	if w.trouble() != nil { // stopped, or out of nodes: its sets are empty, and Solve says so
		return nil
	}
	b.Walk(narrow, wk.unit, wk.move)
	wk.way.Least, wk.way.Fewest = w.least(q, len(wk.way.Moves))
	return wk.way
}

// roomy gives the layers of a shortest way and the growth of the room they are in, that of
// the question if none, and takes off b what the way can do without. A room in which a way
// has no more moves than any way may have needs no look at what lies outside.
func (w *world) roomy(q *question, b *Board, rooms []float64) (layers []diagram.Set, room float64) {
	free := b.Free
	most := math.MaxInt
	if least, ok := w.layers(w.freeFor(q, generous), generous); ok {
		most = len(least)
	}
	for _, g := range rooms {
		b.Free = w.sp.And(free, w.freeSet(g, false, strict))
		ls, ok := w.layers(b.Free, strict)
		if !ok {
			continue
		}
		if len(ls) > most {
			if all, ok := w.layers(free, strict); ok {
				most = len(all)
			}
		}
		if len(ls) <= most {
			return ls, g
		}
	}
	b.Free = free
	if ls, ok := w.layers(free, strict); ok {
		return ls, q.g
	}
	return nil, q.g
}

// least is the fewest moves that the generous reading allows.
func (w *world) least(q *question, found int) (int, bool) {
	layers, ok := w.layers(w.freeFor(q, generous), generous)
	if !ok {
		return found, true
	}
	return len(layers) - 1, len(layers)-1 == found
}

// move makes one move of a mover to one of the ends given, in as few strokes as
// any of them allows.
func (k *walker) move(mover int, cur []int32, ends diagram.Set) []int32 {
	part := k.w.movers[mover]
	travels := k.w.m.Parts[part].Travels
	sp := k.w.sp
	all := k.w.levels(travels)
	slice := &Board{Space: sp, Free: sp.And(k.b.Free, k.others(all, cur))}
	for _, t := range travels {
		slice.Moves = append(slice.Moves, diagram.LevelsOf(k.w.level[t]))
	}
	mv := Move{Part: part, Against: -1}
	layers, ok := slice.Layers(sp.Point(cur), ends)
	if !ok {
		// ends are within one move of cur: only a failed space comes here
		return cur
	}
	k.unit = cur
	hops := slice.Walk(slice.Narrow(layers, ends), cur, func(i int, cur []int32, ends diagram.Set) []int32 {
		s, to := k.stroke(travels[i], cur, ends)
		mv.Strokes = append(mv.Strokes, s)
		return to
	})
	k.way.Moves = append(k.way.Moves, mv)
	return hops[len(hops)-1].At
}

// others fixes all levels but those of m at cur.
func (k *walker) others(m diagram.Levels, cur []int32) diagram.Set {
	var ks []int
	var rs []diagram.Run
	for l, u := range cur {
		if m&diagram.LevelsOf(l) == 0 {
			ks = append(ks, l)
			rs = append(rs, diagram.Run{Lo: u, Hi: u + 1})
		}
	}
	return k.w.sp.Box(ks, rs)
}

// stroke moves travel t from cur into ends, to the value that is easiest told.
func (k *walker) stroke(t int, cur []int32, ends diagram.Set) (Stroke, []int32) {
	l, a := k.w.level[t], &k.w.axes[t]
	to := append([]int32(nil), cur...)
	v, u := k.w.choose(t, joined(a, k.w.sp.Line(ends, l, cur)), k.off)
	to[l] = u
	s := Stroke{Travel: t, From: k.at[t], To: v}
	if a.cyclic {
		s.To = k.round(t, cur, u, v)
	}
	k.at[t] = v
	return s, to
}

// round says which way round a ring the travel goes to v: the shorter one if it
// is free. On the longer one, or across the ends, the value told leaves the range.
func (k *walker) round(t int, cur []int32, u int32, v float64) float64 {
	l, a := k.w.level[t], &k.w.axes[t]
	turn := a.hi - a.lo
	from := k.at[t]
	lap := 0.0 // from is where the ends of the range meet, and the way is at the other end
	switch lo, hi := a.value(cur[l]), a.value(cur[l]+1); {
	case from < lo-turn/2:
		lap = turn
	case from > hi+turn/2:
		lap = -turn
	}
	direct := v - lap
	across := direct + turn
	if direct > from {
		across = direct - turn
	}
	free := k.w.sp.Line(k.b.Free, l, cur)
	inside := false
	for _, r := range free {
		inside = inside || r.Lo <= min(u, cur[l]) && max(u, cur[l]) < r.Hi
	}
	whole := len(free) == 1 && free[0].Lo == 0 && free[0].Hi == a.size
	if !inside || whole && math.Abs(across-from) < math.Abs(direct-from) {
		return across
	}
	return direct
}

// joined makes one run of two that meet across the ends of a ring; it then
// begins below 0.
func joined(a *axis, rs []diagram.Run) []diagram.Run {
	n := len(rs)
	if !a.cyclic || n < 2 || rs[0].Lo != 0 || rs[n-1].Hi != a.size {
		return rs
	}
	out := append([]diagram.Run(nil), rs[1:n-1]...)
	return append(out, diagram.Run{Lo: rs[n-1].Lo - a.size, Hi: rs[0].Hi})
}

// choose takes the widest run and in it a mark, or else the roundest value that
// leaves half the room on either side, or else the middle; if off, a place in it that
// is no round share: the border of what is free often is one.
func (w *world) choose(t int, rs []diagram.Run, off bool) (float64, int32) {
	a := &w.axes[t]
	best := rs[0]
	for _, r := range rs[1:] {
		if r.Hi-r.Lo > best.Hi-best.Lo {
			best = r
		}
	}
	lo, hi := a.value(best.Lo), a.value(best.Hi)
	v := lo + (hi-lo)*offShare
	if !off {
		v = w.easy(t, lo, hi)
	}
	v, u := w.settle(t, best, v)
	if a.cyclic && u < 0 {
		u += a.size
		v += a.hi - a.lo
	}
	return v, u
}

// offShare is the golden section of a run.
const offShare = 0.381966

// easy is a value in [lo, hi] that is easy to tell and to set by hand.
func (w *world) easy(t int, lo, hi float64) float64 {
	a := &w.axes[t]
	mid, quarter := (lo+hi)/2, (hi-lo)/4
	best, found := 0.0, false
	for _, m := range w.m.Travels[t].Marks {
		v := m.Value
		if a.cyclic && v > hi {
			v -= a.hi - a.lo
		}
		if v >= lo && v <= hi && (!found || math.Abs(v-mid) < math.Abs(best-mid)) {
			best, found = v, true
		}
	}
	if found {
		return best
	}
	steps, per := []float64{10, 5, 1, 0.5, 0.1}, 1.0
	if a.angle {
		steps, per = []float64{45, 15, 5, 1, 0.5, 0.1}, math.Pi/180
	}
	for _, s := range steps {
		if v := math.Round(mid/(s*per)) * (s * per); math.Abs(v-mid) <= quarter {
			return v
		}
	}
	return mid
}

// settle gives the unit of v in the run and, where the goal covers only a piece
// of that unit, moves v into it.
func (w *world) settle(t int, r diagram.Run, v float64) (float64, int32) {
	a := &w.axes[t]
	u := min(max(int32(math.Floor(a.place(v))), r.Lo), r.Hi-1)
	for _, b := range w.m.Goal.Bounds {
		lo, hi := a.value(u), a.value(u+1)
		if b.Travel == t && b.Lo <= b.Hi && b.Lo <= hi && b.Hi >= lo {
			v = min(max(v, b.Lo), b.Hi)
		}
	}
	return v, u
}
