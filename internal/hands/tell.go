package hands

import (
	"math"
	"slices"

	"feint/internal/diagram"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// teller turns a walk over units into values a person can follow.
type teller struct {
	s    *solver
	b    *Board
	unit []int32
	at   []float64
	last float64 // the value chosen for the level that was picked last
}

// tell walks narrowed layers of the strict board from the start.
func (s *solver) tell(b *Board, narrow []diagram.Set, growth float64) *Way {
	w := &Way{Growth: growth, Up: s.b.ups[0], Rounding: s.b.rounding()}
	if len(narrow) == 0 {
		return w
	}
	want := make([]int32, len(s.b.sp.Levels()))
	if p, ok := s.b.sp.Pick(s.b.start(), want); ok {
		want = p
	}
	first, ok := s.b.sp.Pick(narrow[0], want)
	if !ok {
		return w
	}
	k := &teller{s: s, b: b, unit: want, at: append([]float64(nil), s.b.m.Start...)}
	for t := range k.at { // the part of a seat whose tool is elsewhere waits where it is put in
		if q := s.b.seat[s.b.m.Travels[t].Part]; q[0] >= 0 && q[1] > 0 {
			k.at[t] = s.b.value(t, want[s.b.lat.Level(t)])
		}
	}
	k.follow(first, -1)
	w.Start = append([]float64(nil), k.at...)
	k.walk(w, narrow, first)
	return w
}

// walk adds the moves from the units first, where the teller stands, to w.
func (k *teller) walk(w *Way, narrow []diagram.Set, first []int32) {
	// values are chosen while the walk goes on, legs are told after it
	chosen := map[int]float64{}
	n := 0
	hops := k.b.Walk(narrow, first, func(level int, cur []int32, ends diagram.Set) []int32 {
		p := k.pick(level, cur, ends)
		if level >= 0 {
			chosen[n] = k.last
			n++
		}
		return p
	})
	n = 0
	for i := range hops {
		m := k.move(&hops[i], func() float64 { n++; return chosen[n-1] })
		w.Moves = append(w.Moves, m)
	}
}

// move tells one hop.
func (k *teller) move(h *Hop, value func() float64) Move {
	b := k.s.b
	m := Move{Part: -1, From: -1}
	switch n := len(k.b.Movers); {
	case h.Move < n:
		m.Kind, m.Part = Hand, b.mover(k.b.Movers[h.Move])
		for _, leg := range h.Legs {
			t := b.lat.Travel(leg.Level)
			st := Stroke{Stroke: motion.Stroke{Travel: t, From: k.at[t], To: k.onward(t, value(), leg.Up)}}
			st.Effects = k.follow(leg.At, t)
			k.at[t] = k.within(t, st.To)
			m.Strokes = append(m.Strokes, st)
		}
	case k.b.Attitude >= 0 && h.Move == n:
		m.Kind, m.Up = Turn, b.ups[h.At[b.attitude()]]
	default:
		m.Kind = Take
		tool := h.Move - n
		if k.b.Attitude >= 0 {
			tool--
		}
		seats := b.m.Tools[tool].Seats
		m.From, m.Part = seats[k.unit[b.tool(tool)]].Part, seats[h.At[b.tool(tool)]].Part
	}
	m.Effects = k.follow(h.At, -1)
	if m.Kind == Take { // the parts of the seats themselves are no effect
		var rest []Effect
		for _, e := range m.Effects {
			if p := b.m.Travels[e.Travel].Part; p != m.From && p != m.Part {
				rest = append(rest, e)
			}
		}
		m.Effects = rest
	}
	m.After = append([]float64(nil), k.at...)
	return m
}

// onward is the value v of a full turn as it is come to going up or down.
func (k *teller) onward(t int, v float64, up bool) float64 {
	tr := &k.s.b.m.Travels[t]
	if !tr.Full {
		return v
	}
	turn := tr.Hi - tr.Lo
	d := math.Mod(v-k.at[t], turn)
	if up && d < 0 {
		d += turn
	} else if !up && d > 0 {
		d -= turn
	}
	return k.at[t] + d
}

func (k *teller) within(t int, v float64) float64 {
	tr := &k.s.b.m.Travels[t]
	if !tr.Full {
		return v
	}
	turn := tr.Hi - tr.Lo
	return tr.Lo + math.Mod(math.Mod(v-tr.Lo, turn)+turn, turn)
}

// follow goes to the units p and lists what moved beside travel own.
func (k *teller) follow(p []int32, own int) []Effect {
	b := k.s.b
	var out []Effect
	for t := range b.m.Travels {
		l := b.lat.Level(t)
		if t == own || p[l] == k.unit[l] {
			continue
		}
		to := b.value(t, p[l])
		if own < 0 && p[l] == k.unit[l] {
			continue
		}
		if e := (Effect{Travel: t, From: k.at[t], To: to, Cause: k.cause(t, p, p[l] > k.unit[l])}); math.Abs(e.To-e.From) > b.seen(t) {
			out = append(out, e)
		}
		k.at[t] = to
	}
	k.unit = append([]int32(nil), p...)
	return out
}

// seen is the least motion of travel t that is told: a quarter of a unit, and on a fine
// lattice what a tenth of a millimetre or degree is rounded from.
func (b *bench) seen(t int) float64 {
	least := 0.05
	if b.m.Travels[t].Kind != mechanism.Slide {
		least *= math.Pi / 180
	}
	return max(b.lat.Unit(t)/4, least)
}

// cause tells what moved travel t upwards or down so that it is now at p.
func (k *teller) cause(t int, p []int32, up bool) Cause {
	tr := &k.s.b.m.Travels[t]
	l := k.s.b.lat.Level(t)
	before := append([]int32(nil), p...) // what carried it may not act where it came to rest
	before[l] = k.unit[l]
	for i := range k.b.Drives {
		d := &k.b.Drives[i]
		if d.Level != l || d.Up != up || !k.s.b.sp.Contains(d.May, p) && !k.s.b.sp.Contains(d.May, before) && len(tr.Latches) == 0 {
			continue
		}
		if tr.Spring != nil || len(tr.Latches) > 0 {
			return Sprung
		}
		return Fell
	}
	return Pushed
}

// value is the middle of a unit, at the ends of a travel its limit.
func (b *bench) value(t int, u int32) float64 {
	tr := &b.m.Travels[t]
	switch {
	case tr.Full:
	case u == 0:
		return tr.Lo
	case u == b.lat.Units(t)-1:
		return tr.Hi
	}
	return b.lat.Value(t, u) + b.lat.Unit(t)/2
}

// pick chooses the end of a stroke: on the level moved the value that is easiest
// told, on the others what is nearest to where it was.
func (k *teller) pick(level int, cur []int32, ends diagram.Set) []int32 {
	sp, b := k.s.b.sp, k.s.b
	if level >= 0 {
		rest := diagram.Levels(1)<<len(sp.Levels()) - 1
		runs := sp.Line(sp.Exists(rest&^diagram.LevelsOf(level), ends), level, cur)
		t := b.lat.Travel(level)
		best := runs[0]
		for _, r := range runs {
			if r.Hi-r.Lo > best.Hi-best.Lo {
				best = r
			}
		}
		best = k.firmer(level, cur, ends, best)
		v := easy(&b.m.Travels[t], b.lat.Value(t, best.Lo), b.lat.Value(t, best.Hi))
		if best.Hi-best.Lo == 1 && !b.m.Travels[t].Full { // where only the limit itself may be meant
			switch {
			case best.Lo == 0:
				v = b.m.Travels[t].Lo
			case best.Hi == b.lat.Units(t):
				v = b.m.Travels[t].Hi
			}
		}
		u := best.Lo
		if w := b.lat.Unit(t); w > 0 {
			u = min(max(int32(math.Floor((v-b.m.Travels[t].Lo)/w)), best.Lo), best.Hi-1)
		}
		ends = sp.And(ends, sp.Runs(level, diagram.Run{Lo: u, Hi: u + 1}))
		k.last = v
	}
	p, _ := sp.Pick(ends, cur)
	return p
}

// firmer leaves out of the run of a stroke that pushes something, if it is long enough, the
// units at its near side: there what is pushed may in truth not come as far, as the strict
// reading pushes a little far.
func (k *teller) firmer(level int, cur []int32, ends diagram.Set, run diagram.Run) diagram.Run {
	const off = slack + 1
	if run.Hi-run.Lo <= off {
		return run
	}
	mid := (run.Lo + run.Hi) / 2
	p, ok := k.s.b.sp.Pick(k.s.b.sp.And(ends, k.s.b.sp.Runs(level, diagram.Run{Lo: mid, Hi: mid + 1})), cur)
	pushes := false
	for l := range p {
		pushes = pushes || ok && l != level && p[l] != cur[l]
	}
	switch {
	case !pushes:
	case cur[level] < run.Lo:
		run.Lo += off
	case cur[level] >= run.Hi:
		run.Hi -= off
	}
	return run
}

// easy is a value in [lo, hi] that is easy to tell and to set by hand: a mark, or
// the roundest number that leaves half the room on either side.
func easy(t *mechanism.Travel, lo, hi float64) float64 {
	mid, quarter := (lo+hi)/2, (hi-lo)/4
	best, found := 0.0, false
	for _, m := range t.Marks {
		if m.Value >= lo && m.Value <= hi && (!found || math.Abs(m.Value-mid) < math.Abs(best-mid)) {
			best, found = m.Value, true
		}
	}
	if found {
		return best
	}
	per := 1.0
	if t.Kind != mechanism.Slide {
		per = math.Pi / 180
	}
	for _, s := range []float64{45, 10, 5, 1, 0.5, 0.1} {
		if v := math.Round(mid/(s*per)) * (s * per); math.Abs(v-mid) <= quarter {
			return v
		}
	}
	return mid
}

// Corrected puts in what parts that are pushed, fall or spring back come to on the bodies,
// where that is no farther from what was told than its rounding: stands is by move what all
// travels stand at after each stroke, and after the move. What the hand does stays as told.
func (w *Way) Corrected(m *mechanism.Mechanism, stands [][][]float64) {
	cur := w.Start
	put := func(es []Effect, at []float64, after []float64) []Effect {
		es = slices.Clone(es)
		for i := range es {
			e := &es[i]
			t := e.Travel
			if m.Travels[t].Full || math.Abs(at[t]-e.To) > w.Rounding[t] {
				continue
			}
			if math.Abs(cur[t]-e.From) <= w.Rounding[t] {
				e.From = cur[t]
			}
			e.To = at[t]
			after[t] = at[t]
		}
		return es
	}
	w.Moves = slices.Clone(w.Moves) // other ways may share them
	for i := range w.Moves {
		k := &w.Moves[i]
		if i >= len(stands) || len(stands[i]) != len(k.Strokes)+1 || len(k.After) != len(m.Travels) {
			return
		}
		k.After, k.Strokes = slices.Clone(k.After), slices.Clone(k.Strokes)
		for j := range k.Strokes {
			k.Strokes[j].Effects = put(k.Strokes[j].Effects, stands[i][j], k.After)
			cur = stands[i][j]
		}
		last := stands[i][len(k.Strokes)]
		k.Effects = put(k.Effects, last, k.After)
		cur = last
	}
}

// rounding is by travel how far a value told may be off: the units by which what is pushed
// is surely clear, and the one told the middle of.
func (b *bench) rounding() []float64 {
	out := make([]float64, len(b.m.Travels))
	for t := range out {
		out[t] = (slack + 1) * b.lat.Unit(t)
	}
	return out
}
