package hands

import (
	"fmt"
	"math"

	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// edgeShare is how near to the border of its unit a value is set by the hand, in
// units: that the rounding of degrees does not carry it over.
const edgeShare = 1e-6

// Stroke moves a travel of the hand towards a value, unit by unit, until something
// stops it. The hand holds the part meanwhile; with let it lets go at the end, and a
// part that is driven falls or springs back. On a full turn to may lie beyond the
// range: the sign of to less the value at hand is the way round.
func (t *Try) Stroke(s Situation, travel int, to float64, let bool) (Came, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	p, err := t.at(&s)
	if err != nil {
		return Came{}, err
	}
	b := t.s.b
	if travel < 0 || travel >= len(b.m.Travels) || math.IsNaN(to) || math.Abs(to) > 1e9 {
		return Came{}, fmt.Errorf("hands: travel %d cannot be brought to %g", travel, to)
	}
	if tr := &b.m.Travels[travel]; tr.Moved != mechanism.ByHand {
		return Came{}, fmt.Errorf("hands: %q of %q is not moved by the hand", tr.Name, b.m.Parts[tr.Part].Name)
	}
	k := &striker{t: t, travel: travel, level: b.lat.Level(travel), m: t.hold(travel), at: p, now: t.placed(s, p)}
	k.out.By = -1
	first := k.now
	if err := k.run(to); err != nil {
		return Came{}, err
	}
	if let && k.m&t.b.carried != 0 {
		if err := k.let(); err != nil {
			return Came{}, err
		}
	}
	k.out.To = k.now
	k.out.Frames = thin(append([]Situation{first}, k.frames...), b)
	k.out.Effects = t.effects(first, k.now, k.at, diagram.LevelsOf(k.level))
	return k.out, b.trouble()
}

// hold is the levels of the part that the hand holds when it moves travel.
func (t *Try) hold(travel int) diagram.Levels {
	l := diagram.LevelsOf(t.s.b.lat.Level(travel))
	for _, m := range t.b.Movers {
		if m&l != 0 {
			return m
		}
	}
	return l
}

// striker is a stroke under way.
type striker struct {
	t      *Try
	travel int
	level  int
	m      diagram.Levels
	at     []int32
	now    Situation
	frames []Situation
	out    Came
}

// run goes unit by unit.
func (k *striker) run(to float64) error {
	b := k.t.s.b
	tr, w := &b.m.Travels[k.travel], b.lat.Unit(k.travel)
	from := k.now.Config[k.travel]
	if !tr.Full {
		k.out.Stopped = to < tr.Lo || to > tr.Hi
		to = min(max(to, tr.Lo), tr.Hi)
	} else {
		to = from + min(max(to-from, -(tr.Hi-tr.Lo)), tr.Hi-tr.Lo)
	}
	if w <= 0 || to == from {
		return nil
	}
	by := int32(1)
	if to < from {
		by = -1
	}
	last := int64(math.Floor((to - tr.Lo) / w))
	if !tr.Full {
		last = min(last, int64(b.lat.Units(k.travel))-1)
	}
	for u := int64(math.Floor((from - tr.Lo) / w)); ; u += int64(by) {
		if !tr.Full {
			u = min(u, int64(b.lat.Units(k.travel))-1)
		}
		if u == last {
			k.set(u, to)
			return nil
		}
		ok, err := k.unit(by)
		if err != nil {
			return err
		}
		if !ok {
			k.stopped(by)
			k.set(u, tr.Lo+(float64(u)+float64(max(by, 0)))*w)
			return nil
		}
		k.frames = append(k.frames, k.now)
	}
}

// set sets the value within unit u, counted on through full turns.
func (k *striker) set(u int64, v float64) {
	b := k.t.s.b
	tr, w := &b.m.Travels[k.travel], b.lat.Unit(k.travel)
	lo, hi := tr.Lo+(float64(u)+edgeShare)*w, tr.Lo+(float64(u)+1-edgeShare)*w
	if !tr.Full {
		if u == 0 {
			lo = tr.Lo
		}
		if u == int64(b.lat.Units(k.travel))-1 {
			hi = tr.Hi
		}
	}
	k.now = k.now.clone()
	k.now.Config[k.travel] = min(max(v, lo), hi)
	k.frames = append(k.frames, k.now)
}

// unit goes one unit on if it can: what the move of the hand does in lead, once.
func (k *striker) unit(by int32) (bool, error) {
	b, sp := k.t.b, k.t.b.Space
	rest := b.rest(k.m)
	y := sp.Shift(k.level, by, sp.Point(k.at))
	out := sp.And(y, rest)
	loose := sp.And(sp.Minus(y, rest), b.free)
	loose = sp.Or(loose, b.push(k.level, sp.Minus(y, b.firm(diagram.LevelsOf(k.level))), k.m))
	if out == diagram.Empty && loose != diagram.Empty {
		out = sp.And(b.fall(loose, k.m, b.near(k.m)), rest)
	}
	want := append([]int32(nil), k.at...)
	want[k.level] += by
	p, ok := sp.Pick(out, want)
	if err := k.t.s.b.trouble(); err != nil || !ok {
		return false, err
	}
	k.step(p, by)
	return true, nil
}

// step brings everything to the units p. What falls does so after what is pushed.
func (k *striker) step(p []int32, by int32) {
	b := k.t.s.b
	next := k.now.clone()
	next.Config[k.travel] += float64(by) * b.lat.Unit(k.travel)
	late := false
	after := next.clone()
	for i := range b.m.Travels {
		l := b.lat.Level(i)
		d := p[l] - k.at[l]
		if i == k.travel || d == 0 {
			continue
		}
		after.Config[i] = b.value(i, p[l])
		if give := k.t.b.Give[k.level][l] + slack; d > give || d < -give {
			late = true
			continue
		}
		next.Config[i] = after.Config[i]
	}
	if late {
		k.frames = append(k.frames, next)
	}
	k.at, k.now = p, after
}

// stopped finds out what is in the way of the next unit.
func (k *striker) stopped(by int32) {
	b, sp := k.t.b, k.t.b.Space
	k.out.Stopped = true
	y := append([]int32(nil), k.at...)
	y[k.level] += by
	if l := sp.Levels()[k.level]; y[k.level] < 0 || y[k.level] >= l.Size {
		if !l.Cyclic {
			return
		}
		y[k.level] = (y[k.level] + l.Size) % l.Size
	}
	for i, parts := range k.t.s.b.lat.Pairs() {
		if p := &b.Pairs[i]; p.On&diagram.LevelsOf(k.level) != 0 && !sp.Contains(p.Firm, y) {
			k.out.By, k.out.Yields = parts[0], p.Yield != 0
			if k.t.s.b.moves(parts[0], k.travel) {
				k.out.By = parts[1]
			}
			if p.Yield == 0 {
				return // what never yields is what stops it
			}
		}
	}
}

// moves tells whether a part is carried by a travel.
func (b *bench) moves(part, travel int) bool {
	for ; part >= 0; part = b.m.Parts[part].Carrier {
		if part == b.m.Travels[travel].Part {
			return true
		}
	}
	return false
}

// let lets go of the part.
func (k *striker) let() error {
	c, err := k.t.came(k.now, k.at, k.t.b.release(k.m, k.t.b.Space.Point(k.at)), 0)
	if err != nil {
		return err
	}
	k.now, k.at = c.To, k.t.units(c.To)
	k.frames = append(k.frames, c.To)
	return nil
}

// thin leaves out the frames on a straight way between their neighbours, and the first.
func thin(fs []Situation, b *bench) []Situation {
	var out []Situation
	for i := 1; i < len(fs); i++ {
		from := fs[0]
		if n := len(out); n > 0 {
			from = out[n-1]
		}
		if i+1 < len(fs) && straight(from, fs[i], fs[i+1], b) {
			continue
		}
		out = append(out, fs[i])
	}
	return out
}

// straight tells whether mid lies evenly between from and to, to half a unit.
func straight(from, mid, to Situation, b *bench) bool {
	best, lead := 0.0, -1
	for i := range to.Config {
		if w := b.lat.Unit(i); w > 0 {
			if d := math.Abs(to.Config[i]-from.Config[i]) / w; d > best {
				best, lead = d, i
			}
		}
	}
	if lead < 0 {
		return true
	}
	f := (mid.Config[lead] - from.Config[lead]) / (to.Config[lead] - from.Config[lead])
	for i := range to.Config {
		if w := b.lat.Unit(i); math.Abs(from.Config[i]+f*(to.Config[i]-from.Config[i])-mid.Config[i]) > w/2+1e-12 {
			return false
		}
	}
	return f >= 0 && f <= 1
}
