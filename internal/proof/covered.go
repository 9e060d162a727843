package proof

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"

	"feint/internal/mechanism"
)

// Cover is what is claimed blocked of one pair: boxes of its coordinates, each to
// be confirmed by Blocked.
type Cover struct {
	Parts  [2]int
	Coords []Coord
	Blocks []Block
}

// Covered looks at n places just outside Free, next to places reached, spread at
// random but always the same: at each, some pair must be claimed blocked there, or
// it must lie in the region that was to be avoided (nil for none). So a free set
// that leaves out what nobody has shown blocked is found out, if it leaves out
// more than one place in n or so of its border; Closed takes Free as given. It
// tells at how many places there was something to look at.
func Covered(ctx context.Context, m *mechanism.Mechanism, c *Closure, avoid *mechanism.Region, covers []Cover, n int) (looked int, err error) {
	if err := c.fits(m); err != nil {
		return 0, err
	}
	k := &spots{m: m, c: c, avoid: avoid, rng: rand.New(rand.NewPCG(1, 2))} //nolint:gosec // no secret: the same places on every run
	for i := range covers {
		k.covers = append(k.covers, newFinder(m, &covers[i]))
	}
	for range n {
		if err := ctx.Err(); err != nil {
			return looked, err
		}
		at, ok := k.border()
		if !ok {
			continue
		}
		looked++
		if q := k.values(at); !k.avoided(at) && !k.claimed(q) {
			return looked, fmt.Errorf("%w: nothing shows that the configuration %.6g, taken for blocked, is", ErrRefused, q)
		}
	}
	return looked, c.Space.Err()
}

// spots is the look at the border of a closure.
type spots struct {
	m      *mechanism.Mechanism
	c      *Closure
	avoid  *mechanism.Region
	covers []finder
	rng    *rand.Rand
}

// border is a unit outside Free next to one reached; false if none was met.
func (k *spots) border() ([]int32, bool) {
	levels := k.c.Space.Levels()
	want := make([]int32, len(levels))
	for l := range want {
		want[l] = k.rng.Int32N(levels[l].Size)
	}
	at, ok := k.c.Space.Pick(k.c.Reached, want)
	if !ok {
		return nil, false
	}
	l := k.rng.IntN(len(levels))
	up := k.rng.IntN(2) == 0
	for _, r := range k.c.Space.Line(k.c.Reached, l, at) {
		if at[l] < r.Lo || at[l] >= r.Hi {
			continue
		}
		next := r.Lo - 1
		if up {
			next = r.Hi
		}
		if size := levels[l].Size; levels[l].Cyclic {
			next = (next + size) % size
		} else if next < 0 || next >= size {
			return nil, false // the travel's own stop
		}
		at[l] = next
		return at, !k.c.Space.Contains(k.c.Free, at)
	}
	return nil, false
}

// values is a configuration within the unit at.
func (k *spots) values(at []int32) []float64 {
	q := make([]float64, len(k.m.Travels))
	for l, t := range k.c.Travels {
		tr := &k.m.Travels[t]
		q[t] = tr.Lo + (tr.Hi-tr.Lo)*(float64(at[l])+k.rng.Float64())/float64(k.c.Space.Levels()[l].Size)
	}
	return q
}

// avoided tells whether the unit at has a part in the region.
func (k *spots) avoided(at []int32) bool {
	if k.avoid == nil {
		return false
	}
	for _, b := range k.avoid.Bounds {
		for l, t := range k.c.Travels {
			if t != b.Travel {
				continue
			}
			in := false
			runs := k.c.touching(k.m, l, b.Lo, b.Hi)
			for _, r := range runs {
				in = in || at[l] >= r.Lo && at[l] < r.Hi
			}
			if !in && runs != nil {
				return false
			}
		}
	}
	return true
}

func (k *spots) claimed(q []float64) bool {
	for i := range k.covers {
		if k.covers[i].holds(q) {
			return true
		}
	}
	return false
}

// finder finds the claim that holds a configuration: claims sorted into slabs of
// the first coordinate.
type finder struct {
	*Cover
	full   []bool // of the coordinates: it closes after a turn
	lo, hi float64
	slabs  [][]int32
}

// slabs of a finder: with some thousand claims some dozens are left to look at.
const slabs = 64

func newFinder(m *mechanism.Mechanism, c *Cover) finder {
	f := finder{Cover: c, lo: math.Inf(1), hi: math.Inf(-1), slabs: make([][]int32, slabs)}
	for _, x := range c.Coords {
		f.full = append(f.full, len(x) > 0 && m.Travels[x[0].Travel].Full)
	}
	if len(c.Coords) == 0 {
		return f
	}
	for i := range c.Blocks {
		f.lo, f.hi = min(f.lo, c.Blocks[i].Lo[0]), max(f.hi, c.Blocks[i].Hi[0])
	}
	for i := range c.Blocks {
		b := &c.Blocks[i]
		for s := f.slab(b.Lo[0]); s <= f.slab(b.Hi[0]); s++ {
			f.slabs[s] = append(f.slabs[s], int32(i))
		}
	}
	return f
}

func (f *finder) slab(x float64) int {
	if !(f.hi > f.lo) {
		return 0
	}
	return max(0, min(slabs-1, int((x-f.lo)/(f.hi-f.lo)*slabs)))
}

// holds tells whether a claim holds the configuration q.
func (f *finder) holds(q []float64) bool {
	if len(f.Blocks) == 0 {
		return false
	}
	if len(f.Coords) == 0 {
		return true // the parts never move against each other
	}
	x := make([]float64, len(f.Coords))
	for i, c := range f.Coords {
		for _, j := range c {
			x[i] += float64(j.Sign) * q[j.Travel]
		}
	}
	return f.turned(x, 0)
}

// turned tries whole turns of the coordinates from i on that close.
func (f *finder) turned(x []float64, i int) bool {
	if i == len(x) {
		return f.within(x)
	}
	if !f.full[i] {
		return f.turned(x, i+1)
	}
	at := x[i]
	defer func() { x[i] = at }()
	for turn := -2.0; turn <= 2; turn++ {
		x[i] = at + 2*math.Pi*turn
		if f.turned(x, i+1) {
			return true
		}
	}
	return false
}

// border of a box as rounding may shift a sum, mm or radians.
const boxBorder = 1e-9

func (f *finder) within(x []float64) bool {
	if x[0] < f.lo-boxBorder || x[0] > f.hi+boxBorder {
		return false
	}
	for _, i := range f.slabs[f.slab(x[0])] {
		b, in := &f.Blocks[i], true
		for k := range x {
			in = in && x[k] >= b.Lo[k]-boxBorder && x[k] <= b.Hi[k]+boxBorder
		}
		if in {
			return true
		}
	}
	return false
}
