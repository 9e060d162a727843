package motion_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/mechanism"
	"feint/internal/motion"
)

// toy is a mechanism small enough to list every configuration: travels of a few
// cells each, and tables that say which combinations of cells a pair may take.
// It is the common ground of motion and of the searches that are not ours.
type toy struct {
	sizes  []int // cells of each travel
	full   []bool
	part   []int // of each travel, 1 and up: part 0 is the frame
	parts  int   // the frame included
	tables []toyTable
	start  []int
	goal   toyRegion
	steps  []toyRegion
}

type toyTable struct {
	a, b    int
	travels []int
	free    []bool
}

// toySpan is the cells lo <= c < hi of a travel.
type toySpan struct{ travel, lo, hi int }

type toyRegion []toySpan

func (r toyRegion) has(q []int) bool {
	for _, s := range r {
		if q[s.travel] < s.lo || q[s.travel] >= s.hi {
			return false
		}
	}
	return true
}

func (t *toy) count() int {
	n := 1
	for _, s := range t.sizes {
		n *= s
	}
	return n
}

func (t *toy) index(q []int) int {
	i := 0
	for k, s := range t.sizes {
		i = i*s + q[k]
	}
	return i
}

func (t *toy) cells(i int) []int {
	q := make([]int, len(t.sizes))
	for k := len(q) - 1; k >= 0; k-- {
		q[k], i = i%t.sizes[k], i/t.sizes[k]
	}
	return q
}

func (x *toyTable) at(t *toy, q []int) bool {
	i := 0
	for _, k := range x.travels {
		i = i*t.sizes[k] + q[k]
	}
	return x.free[i]
}

func (t *toy) free(q []int) bool {
	for i := range t.tables {
		if !t.tables[i].at(t, q) {
			return false
		}
	}
	return true
}

// freeCells lists for every configuration whether all tables allow it.
func (t *toy) freeCells() []bool {
	out := make([]bool, t.count())
	for i := range out {
		out[i] = t.free(t.cells(i))
	}
	return out
}

// neighbours are the configurations one cell away along a travel.
func (t *toy) neighbours(i, travel int) []int {
	q := t.cells(i)
	n, c := t.sizes[travel], q[travel]
	var out []int
	for _, to := range [2]int{c - 1, c + 1} {
		if t.full[travel] {
			to = (to + n) % n
		}
		if to < 0 || to >= n || to == c {
			continue
		}
		q[travel] = to
		out = append(out, t.index(q))
	}
	return out
}

// middle is the values in the middle of the cells.
func (t *toy) middle(q []int) []float64 {
	v := make([]float64, len(q))
	for k, c := range q {
		v[k] = t.value(k, float64(c)+0.5)
	}
	return v
}

// value is the place of c cells from the lower end: a cell is 1 mm of a slide.
func (t *toy) value(travel int, c float64) float64 {
	if t.full[travel] {
		return 2 * math.Pi * c / float64(t.sizes[travel])
	}
	return c
}

// region is r with every end drawn in by inset of a cell.
func (t *toy) region(r toyRegion, inset float64) mechanism.Region {
	var out mechanism.Region
	for _, s := range r {
		out.Bounds = append(out.Bounds, mechanism.Bound{
			Travel: s.travel, Lo: t.value(s.travel, float64(s.lo)+inset), Hi: t.value(s.travel, float64(s.hi)-inset),
		})
	}
	return out
}

// mechanism gives the toy to motion. The goal lies within its cells, since a
// goal that ends where a cell ends is touched from the next cell, too; the
// steps fill theirs, since what is left of a cell could be passed.
func (t *toy) mechanism(tb testing.TB) (*mechanism.Mechanism, []motion.PairMap) {
	m := build()
	for range t.parts - 1 {
		part(m, string(rune('A'+len(m.Parts))))
	}
	mid := t.middle(t.start)
	for k, n := range t.sizes {
		tr := mechanism.Travel{Part: t.part[k], Kind: mechanism.Slide, Hi: float64(n)}
		if t.full[k] {
			tr.Kind, tr.Hi, tr.Full = mechanism.Turn, 2*math.Pi, true
		}
		travel(m, tr, mid[k])
	}
	m.Goal = t.region(t.goal, 0.25)
	for i, s := range t.steps {
		r := t.region(s, 0)
		r.Name = string(rune('p' + i))
		m.Steps = append(m.Steps, r)
	}
	var maps []motion.PairMap
	for i := range t.tables {
		x := &t.tables[i]
		sizes := make([]int, len(x.travels))
		for j, k := range x.travels {
			sizes[j] = t.sizes[k]
		}
		maps = append(maps, table(tb, m, x.a, x.b, x.travels, sizes, func(u []int) bool {
			at := 0
			for j := range u {
				at = at*sizes[j] + u[j]
			}
			return x.free[at]
		}))
	}
	return m, maps
}

// travelsOf are the travels of a part.
func (t *toy) travelsOf(part int) []int {
	var out []int
	for k, p := range t.part {
		if p == part {
			out = append(out, k)
		}
	}
	return out
}

// halved are sizes that the axes of motion can be cut into.
func halved() []int { return []int{1, 2, 4, 4, 8, 8} }

// randomToy draws a mechanism of at most most configurations: parts of one or
// two travels of the sizes given, full turns among them, tables of a part against
// the frame and of parts against each other. The start is free.
func randomToy(r *rand.Rand, most int, sizes []int) *toy {
	t := &toy{parts: 1}
	n := 1
	for t.parts < 3 || t.parts < 7 && r.IntN(8) > 0 {
		for range 1 + r.IntN(2) {
			size := sizes[r.IntN(len(sizes))]
			if n*size > most {
				size = 1
			}
			n *= size
			t.sizes = append(t.sizes, size)
			t.full = append(t.full, r.IntN(3) == 0)
			t.part = append(t.part, t.parts)
			t.start = append(t.start, r.IntN(size))
		}
		t.parts++
	}
	var pairs [][2]int
	for a := 1; a < t.parts; a++ {
		for b := range a {
			if r.IntN(4) > 0 {
				pairs = append(pairs, [2]int{a, b})
			}
		}
	}
	// all tables together leave 0.1 to 0.5: about where what is free falls apart
	share := math.Pow(0.1+0.4*r.Float64(), 1/float64(len(pairs)))
	for _, p := range pairs {
		t.tables = append(t.tables, randomTable(r, t, p[0], p[1], share))
	}
	t.goal = randomGoal(r, t)
	for range 1 + r.IntN(2) {
		t.steps = append(t.steps, randomRegion(r, t))
	}
	return t
}

func randomTable(r *rand.Rand, t *toy, a, b int, share float64) toyTable {
	x := toyTable{a: a, b: b, travels: append(t.travelsOf(a), t.travelsOf(b)...)}
	n, home := 1, 0
	for _, k := range x.travels {
		n, home = n*t.sizes[k], home*t.sizes[k]+t.start[k]
	}
	x.free = make([]bool, n)
	for i := range x.free {
		x.free[i] = r.Float64() < share
	}
	x.free[home] = true
	return x
}

// randomGoal is most often a place far from the start, now and then any place.
func randomGoal(r *rand.Rand, t *toy) toyRegion {
	free := t.freeCells()
	seen := map[int]bool{t.index(t.start): true}
	queue := []int{t.index(t.start)}
	for at := 0; at < len(queue); at++ {
		for k := range t.sizes {
			for _, j := range t.neighbours(queue[at], k) {
				if free[j] && !seen[j] {
					seen[j] = true
					queue = append(queue, j)
				}
			}
		}
	}
	q := t.cells(queue[len(queue)-1])
	if r.IntN(4) == 0 {
		q = t.cells(r.IntN(t.count()))
	}
	var out toyRegion
	for k, c := range q {
		if c != t.start[k] || r.IntN(3) == 0 {
			out = append(out, toySpan{k, c, c + 1})
		}
	}
	return out
}

func randomRegion(r *rand.Rand, t *toy) toyRegion {
	var out toyRegion
	for _, k := range r.Perm(len(t.sizes))[:1+r.IntN(min(3, len(t.sizes)))] {
		lo := r.IntN(t.sizes[k])
		out = append(out, toySpan{k, lo, lo + 1 + r.IntN((t.sizes[k]-lo+1)/2)})
	}
	return out
}
