package proof

import (
	"context"
	"fmt"
	"math"

	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// Closure is a certificate that there is no way into a goal. Level k of Space is
// the travel Travels[k], its range from limit to limit cut into equal units. Free
// holds every unit of configurations that may be free; Reached is the claim: what
// the start can come to.
type Closure struct {
	Space   *diagram.Space
	Travels []int
	Free    diagram.Set
	Reached diagram.Set
}

// unitError is how far, in units, a value may be off the border of two units and
// still be taken to touch both: rounding of values up to 2^24 units.
const unitError = 1e-7

// Closed checks the certificate: that Reached holds every free unit that the
// start touches, that no step along any one level leads from a unit of Reached to
// a unit of Free that is not in Reached, and that no unit of Reached touches the
// goal. Since the motion of a part is continuous and units are closed, nothing
// outside Reached can then be come to.
//
// It walks the nodes of the sets itself and uses no operation of the search. That
// Free is right is not its matter: see Blocked.
func Closed(ctx context.Context, m *mechanism.Mechanism, c *Closure, goal mechanism.Region) error {
	if err := c.fits(m); err != nil {
		return err
	}
	k := &closure{ctx: ctx, s: c.Space, levels: c.Space.Levels(), bad: map[[3]diagram.Set]bool{}}
	if k.outside(k.box(c.starts(m)), c.Free, c.Reached) {
		return fmt.Errorf("%w: a free place at the start is not among those reached", ErrRefused)
	}
	for l := range c.Travels {
		k.along, k.seen = l, map[[2]diagram.Set]bool{}
		if k.leaks(c.Reached, c.Free) {
			return fmt.Errorf("%w: travel %q of %q leads out of the places reached", ErrRefused,
				m.Travels[c.Travels[l]].Name, m.Parts[m.Travels[c.Travels[l]].Part].Name)
		}
	}
	if k.outside(k.box(c.ends(m, goal)), c.Reached, diagram.Empty) {
		return fmt.Errorf("%w: a place reached lies in the goal", ErrRefused)
	}
	if err := c.Space.Err(); err != nil {
		return fmt.Errorf("%w: %w", ErrOpen, err)
	}
	return ctx.Err()
}

// starts are the units, level by level, that the start touches.
func (c *Closure) starts(m *mechanism.Mechanism) [][]diagram.Run {
	out := make([][]diagram.Run, len(c.Travels))
	for l, t := range c.Travels {
		out[l] = c.touching(m, l, m.Start[t], m.Start[t])
	}
	return out
}

// ends are those that touch the goal.
func (c *Closure) ends(m *mechanism.Mechanism, goal mechanism.Region) [][]diagram.Run {
	out := make([][]diagram.Run, len(c.Travels))
	for _, b := range goal.Bounds {
		for l, t := range c.Travels {
			if t == b.Travel {
				out[l] = meet(out[l], c.touching(m, l, b.Lo, b.Hi))
			}
		}
	}
	return out
}

// fits checks that the levels are the travels of m, each once.
func (c *Closure) fits(m *mechanism.Mechanism) error {
	if c.Space == nil || len(c.Travels) != len(m.Travels) || len(c.Space.Levels()) != len(m.Travels) {
		return fmt.Errorf("%w: the certificate does not speak of the design's %d travels", ErrRefused, len(m.Travels))
	}
	if err := c.Space.Err(); err != nil {
		return fmt.Errorf("%w: %w", ErrOpen, err)
	}
	seen := make([]bool, len(m.Travels))
	for l, t := range c.Travels {
		if t < 0 || t >= len(seen) || seen[t] {
			return fmt.Errorf("%w: level %d is travel %d", ErrRefused, l, t)
		}
		seen[t] = true
		if tr := &m.Travels[t]; tr.Full && !c.Space.Levels()[l].Cyclic {
			return fmt.Errorf("%w: travel %q turns full circle, its level does not", ErrRefused, tr.Name)
		}
	}
	return nil
}

// touching lists the units of level l that hold a value from lo to hi; on a full
// turn lo may exceed hi. nil means all.
func (c *Closure) touching(m *mechanism.Mechanism, l int, lo, hi float64) []diagram.Run {
	t := &m.Travels[c.Travels[l]]
	n := c.Space.Levels()[l].Size
	width := (t.Hi - t.Lo) / float64(n)
	if width <= 0 || (t.Full && (math.IsInf(lo, 0) || math.IsInf(hi, 0))) {
		return nil
	}
	unit := func(v float64) float64 { return (min(max(v, t.Lo-width), t.Hi+width) - t.Lo) / width }
	run := func(lo, hi float64) diagram.Run {
		return diagram.Run{Lo: int32(math.Ceil(unit(lo)-unitError)) - 1, Hi: int32(math.Floor(unit(hi)+unitError)) + 1}
	}
	clip := func(r diagram.Run) diagram.Run { return diagram.Run{Lo: max(r.Lo, 0), Hi: min(r.Hi, n)} }
	if !t.Full {
		return []diagram.Run{clip(run(lo, hi))}
	}
	var out []diagram.Run
	for turn := -2.0; turn <= 2; turn++ { // every copy of the interval that meets the range
		shift := turn * 2 * math.Pi
		top := hi
		if lo > hi {
			top += 2 * math.Pi
		}
		if lo+shift > t.Hi+width || top+shift < t.Lo-width {
			continue
		}
		if r := clip(run(lo+shift, top+shift)); r.Lo < r.Hi {
			out = append(out, r)
		}
	}
	return append(out, diagram.Run{}) // never nil: an empty run is no unit
}

// meet is what two lists of runs have in common; nil is everything.
func meet(a, b []diagram.Run) []diagram.Run {
	if a == nil {
		return b
	}
	if b == nil {
		return a
	}
	out := []diagram.Run{{}}
	for _, x := range a {
		for _, y := range b {
			if r := (diagram.Run{Lo: max(x.Lo, y.Lo), Hi: min(x.Hi, y.Hi)}); r.Lo < r.Hi {
				out = append(out, r)
			}
		}
	}
	return out
}

// closure walks sets, each pair or triple of nodes once.
type closure struct {
	ctx    context.Context
	s      *diagram.Space
	levels []diagram.Level
	along  int
	seen   map[[2]diagram.Set]bool // pairs found to leak nowhere
	bad    map[[3]diagram.Set]bool
}

// box is the set of the points whose units are in the runs, level by level.
func (k *closure) box(runs [][]diagram.Run) diagram.Set {
	x := diagram.All
	for l := len(runs) - 1; l >= 0; l-- {
		if runs[l] == nil {
			continue
		}
		in := make([]bool, k.levels[l].Size)
		for _, r := range runs[l] {
			for u := r.Lo; u < r.Hi; u++ {
				in[u] = true
			}
		}
		var ps []diagram.Piece
		for u, ok := range in {
			to := diagram.Empty
			if ok {
				to = x
			}
			if n := len(ps); n > 0 && ps[n-1].To == to {
				ps[n-1].Hi++
			} else {
				ps = append(ps, diagram.Piece{Hi: int32(u) + 1, To: to})
			}
		}
		x = k.s.Join(l, ps)
	}
	return x
}

// leaks tells whether a step along the level leads from r, within f, out of r.
func (k *closure) leaks(r, f diagram.Set) bool {
	top := min(k.s.Top(r), k.s.Top(f), k.along)
	key := [2]diagram.Set{r, f}
	if r == diagram.Empty || f == diagram.Empty || r == diagram.All || k.seen[key] || k.ctx.Err() != nil {
		return false
	}
	type piece struct{ r, f diagram.Set }
	var line []piece
	k.common(top, []diagram.Set{r, f}, func(x []diagram.Set) { line = append(line, piece{x[0], x[1]}) })
	for i := range line {
		if top < k.along {
			if k.leaks(line[i].r, line[i].f) {
				return true
			}
			continue
		}
		next := i + 1
		if next == len(line) {
			if !k.levels[top].Cyclic {
				break
			}
			next = 0
		}
		if k.outside(line[i].r, line[next].f, line[next].r) || k.outside(line[next].r, line[i].f, line[i].r) {
			return true
		}
	}
	k.seen[key] = true
	return false
}

// outside tells whether some point is in a and in b but not in c.
func (k *closure) outside(a, b, c diagram.Set) bool {
	switch {
	case a == diagram.Empty || b == diagram.Empty || c == diagram.All || a == c || b == c || k.ctx.Err() != nil:
		return false
	case a == diagram.All && b == diagram.All:
		return true // c is not everything, so it lacks a point
	}
	key := [3]diagram.Set{a, b, c}
	if found, ok := k.bad[key]; ok {
		return found
	}
	found := false
	k.common(min(k.s.Top(a), k.s.Top(b), k.s.Top(c)), []diagram.Set{a, b, c}, func(x []diagram.Set) {
		found = found || k.outside(x[0], x[1], x[2])
	})
	k.bad[key] = found
	return found
}

// common cuts sets into their common runs of a level and gives what lies below
// each run. The slice is only lent.
func (k *closure) common(level int, sets []diagram.Set, do func([]diagram.Set)) {
	cuts := make([][]diagram.Piece, len(sets))
	below := make([]diagram.Set, len(sets))
	for i, x := range sets {
		cuts[i] = k.s.Cut(x, level)
	}
	for {
		hi := k.levels[level].Size
		for i := range cuts {
			hi, below[i] = min(hi, cuts[i][0].Hi), cuts[i][0].To
		}
		do(below)
		if hi == k.levels[level].Size {
			return
		}
		for i := range cuts {
			if cuts[i][0].Hi == hi {
				cuts[i] = cuts[i][1:]
			}
		}
	}
}
