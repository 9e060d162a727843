package clearance

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Version names the algorithm; it changes whenever the bounds of a map may
// change for the same input.
const Version = 5

// Map is what is known of the clearance of one pair of parts. Its methods other
// than Refine may be called by several goroutines at once.
type Map struct {
	a, b  int
	chain *chain // in the frame of the forms
	back  *chain // b relative to a
	fa    *form
	fb    *form
	root  cell
	slack float64 // rounds bounds outwards
	asked []asked // by rising need

	local     bool      // depth is told piece by piece only, for tests
	inherited []asked   // thresholds asked before a part changed, where no cell is fresh
	worn      float64   // by how much bounds were loosened when they were taken over
	chainAxis geom.Line // of a coaxial pair, as drawn
}

// asked is a threshold to which the map has been refined, and how finely.
type asked struct{ need, width float64 }

// known tells whether need has been asked at the width or finer.
func (m *Map) known(need, width float64) bool { return has(m.asked, need, width) }

func has(list []asked, need, width float64) bool {
	i := sort.Search(len(list), func(i int) bool { return list[i].need >= need })
	return i < len(list) && list[i].need == need && list[i].width <= width
}

// learn notes that need has been asked at the width.
func (m *Map) learn(need, width float64) {
	i := sort.Search(len(m.asked), func(i int) bool { return m.asked[i].need >= need })
	if i < len(m.asked) && m.asked[i].need == need {
		m.asked[i].width = min(m.asked[i].width, width)
		return
	}
	m.asked = slices.Insert(m.asked, i, asked{need, width})
}

// cell is a cell of the tree; both bounds hold in all of it.
type cell struct {
	lower, upper float64
	proof        *proof // of upper; nil while upper is +Inf
	axis         int8
	kids         *[2]cell
	todo         bool // work for the present Refine is left under it
	fresh        bool // inherited thresholds mean nothing here
}

// proof is a point of one part whose signed distance to the other is at most
// the upper bound of every cell that refers to it.
type proof struct {
	onA bool
	p   geom.Vec // in the form's frame
}

// Witness is a point of one part, in the place where that part is drawn, that
// proves a cell blocked: its signed distance to the other part is below the
// threshold in the whole cell.
type Witness struct {
	OnA   bool
	Point geom.Vec
}

// New prepares the map of the parts a and b of m, with nothing known yet. It
// fails when a travel between them has no finite limits or when more than
// MaxCoords independent travels lie between them.
func New(m *mechanism.Mechanism, a, b int, bodyA, bodyB *Body) (*Map, error) {
	c, err := newChain(m, a, b)
	if err != nil {
		return nil, err
	}
	var axis geom.Line
	if c.way == coaxial {
		axis = c.axis
	}
	o := &Map{a: a, b: b, chainAxis: axis}
	var wg sync.WaitGroup
	wg.Go(func() { o.fa = bodyA.form(axis) })
	o.fb = bodyB.form(axis)
	wg.Wait()
	o.chain = c.at(o.fa.to)
	o.back = o.chain.inverse()
	o.root = cell{lower: math.Inf(-1), upper: math.Inf(1)}
	o.measure(bodyA, bodyB)
	return o, nil
}

// measure sets the rounding and the span of the motion.
//
// A bound is computed by fewer than 2^8 operations on numbers no larger than the
// sizes of the parts and the travels together, each right to 2^-53: less than
// 2^-44 of that size; poses and normals taken together again as much. Merged
// axes add at most 2 sameLine + 2 sameAngle * size.
func (m *Map) measure(a, b *Body) {
	size := a.scale + b.scale
	for i, c := range m.chain.coords {
		if s := &m.chain.steps[i]; s.kind == mechanism.Slide {
			size += max(math.Abs(c.Lo), math.Abs(c.Hi))
		} else {
			size += math.Abs(s.lead)/(2*math.Pi)*max(math.Abs(c.Lo), math.Abs(c.Hi)) + math.Abs(s.axis.Point.X) + math.Abs(s.axis.Point.Y) + math.Abs(s.axis.Point.Z)
		}
	}
	m.slack = size*0x1p-42 + 2*sameLine + 2*sameAngle*size
}

// Parts are the indices of the two parts; the first moves, the second rests.
func (m *Map) Parts() (a, b int) { return m.a, m.b }

// Coords are the coordinates of the map: none for parts that never move
// relative to each other.
func (m *Map) Coords() []Coord { return append([]Coord(nil), m.chain.coords...) }

// Cells yields the leaves, which tile the whole box of coordinates, in order.
func (m *Map) Cells() iter.Seq[Cell] {
	return func(yield func(Cell) bool) {
		m.leaves(&m.root, whole(), func(c *cell, d dyadic) bool { return yield(m.cell(c, d)) })
	}
}

func (m *Map) cell(c *cell, d dyadic) Cell {
	o := Cell{Lower: c.lower, Upper: c.upper}
	for i := range m.chain.coords {
		o.Lo[i], o.Hi[i] = d.limits(i, &m.chain.coords[i])
	}
	return o
}

func (m *Map) leaves(c *cell, d dyadic, do func(*cell, dyadic) bool) bool {
	if c.kids == nil {
		return do(c, d)
	}
	return m.leaves(&c.kids[0], d.half(c.axis, 0), do) && m.leaves(&c.kids[1], d.half(c.axis, 1), do)
}

// Witnesses yields the blocked leaves at the threshold need with the point that
// proves each.
func (m *Map) Witnesses(need float64) iter.Seq2[Cell, Witness] {
	return func(yield func(Cell, Witness) bool) {
		m.leaves(&m.root, whole(), func(c *cell, d dyadic) bool {
			if !(c.upper < need) || c.proof == nil {
				return true
			}
			return yield(m.cell(c, d), m.witness(c.proof))
		})
	}
}

// witness is p in the drawn frame.
func (m *Map) witness(p *proof) Witness {
	inv := m.fa.to.Inverse()
	return Witness{OnA: p.onA, Point: inv.Apply(p.p)}
}

// dyadic names a cell: in coordinate i it is [k, k+1] / 2^n of the range.
type dyadic struct {
	k [MaxCoords]uint64
	n [MaxCoords]uint8
}

func whole() dyadic { return dyadic{} }

// half is the lower (0) or upper (1) half along an axis.
func (d dyadic) half(axis int8, which uint64) dyadic {
	d.k[axis] = 2*d.k[axis] + which
	d.n[axis]++
	return d
}

// limits are the ends of coordinate i. k/2^n is exact, so neighbours agree on
// their common end bit for bit, and the range's own ends come out exactly.
func (d *dyadic) limits(i int, c *Coord) (lo, hi float64) {
	at := func(k uint64) float64 {
		f := math.Ldexp(float64(k), -int(d.n[i]))
		if f == 1 {
			return c.Hi
		}
		return c.Lo + (c.Hi-c.Lo)*f
	}
	return at(d.k[i]), at(d.k[i] + 1)
}

// Key describes all that a map depends on besides the two meshes: the joints
// with their axes and limits and the version of the algorithm. Equal keys and
// equal meshes give equal maps.
func Key(m *mechanism.Mechanism, a, b int) string {
	var s strings.Builder
	fmt.Fprintf(&s, "clearance %d", Version)
	hex := func(x float64) string { return strconv.FormatFloat(x, 'x', -1, 64) }
	for _, j := range m.Between(a, b) {
		t := &m.Travels[j.Travel]
		fmt.Fprintf(&s, "; %v %+d full=%v", t.Kind, j.Sign, t.Full)
		for _, x := range []float64{t.Lo, t.Hi, t.Lead, t.Axis.Point.X, t.Axis.Point.Y, t.Axis.Point.Z, t.Axis.Dir.X, t.Axis.Dir.Y, t.Axis.Dir.Z} {
			s.WriteString(" " + hex(x))
		}
	}
	return s.String()
}

// Refine divides the map until every place is known at every threshold in
// needs, mm, to within width mm: a cell that is still undecided at one of them
// (Lower < need <= Upper) has bounds no more than width apart, or moves no point
// that matters by more than width/2 from its middle. What was known is kept, so
// a later call with more thresholds or a finer width does only what is new. A
// cancelled ctx ends it early with ctx's error; the map stays valid.
func (m *Map) Refine(ctx context.Context, needs []float64, width float64) error {
	if !(width > 0) {
		return fmt.Errorf("width %g mm must be positive", width)
	}
	for _, n := range needs {
		if math.IsNaN(n) || math.IsInf(n, 0) {
			return fmt.Errorf("threshold %g is no length", n)
		}
	}
	// one after the other, positive ones first and none before those below it: a cell
	// open at a small threshold alone lists few pairs, while that of the greatest
	// would have all carry long lists; overlaps are dearest and find most known
	sorted := append([]float64(nil), needs...)
	slices.SortFunc(sorted, func(a, b float64) int {
		if (a < 0) != (b < 0) {
			return cmp.Compare(b, a)
		}
		return cmp.Compare(math.Abs(a), math.Abs(b))
	})
	for _, n := range sorted {
		for w := max(width, coarsest); !m.known(n, width); w = max(width, w/coarser) {
			if m.known(n, w) {
				continue
			}
			if err := m.refine(ctx, []float64{n}, w, false); err != nil {
				return err
			}
			m.learn(n, w)
		}
	}
	return ctx.Err()
}

// RefineBlocked divides the map where it is not known at the overlap need, mm below
// 0, and finds out what is surely blocked there. That a place is free although the
// parts overlap it does not look for, which is by far the dearest for parts that are
// near each other everywhere: such places stay open.
func (m *Map) RefineBlocked(ctx context.Context, need, width float64) error {
	if !(width > 0) || !(need < 0) || math.IsInf(need, 0) {
		return fmt.Errorf("overlap %g mm at width %g mm", need, width)
	}
	if err := m.refine(ctx, []float64{need}, width, true); err != nil {
		return err
	}
	return ctx.Err()
}

// RefineWhere divides, at one threshold, only cells that where says matter: it is told
// the limits of a cell. So a map of many coordinates is asked along a way through it,
// where all of it would cost too much. It tells how many cells were divided: none if those
// that matter are as well known, to within width mm, as they can be.
func (m *Map) RefineWhere(ctx context.Context, need, width float64, where func(lo, hi *[MaxCoords]float64) bool) (int, error) {
	if !(width > 0) || math.IsNaN(need) || math.IsInf(need, 0) {
		return 0, fmt.Errorf("threshold %g mm at width %g mm", need, width)
	}
	w := m.newWorker(ctx, []float64{need}, width)
	w.where = where
	err := w.all()
	return w.divided, err
}

// The widths by which a finer one is come at, mm: large cells that are surely free
// or blocked are told as such before small ones are looked at.
const (
	coarsest = 0.32
	coarser  = 6
)

// At is the clearance at one configuration: it lies within [lower, upper], which
// are at most 2e-6 mm apart but for parts of overlapping shells. q has a value
// for every travel of the mechanism.
func (m *Map) At(q []float64) (lower, upper float64, err error) {
	x, err := m.coordinates(q)
	if err != nil {
		return 0, 0, err
	}
	lower, upper = m.exact(x, exactSteps)
	return lower, upper, nil
}

// coordinates are those of a configuration.
func (m *Map) coordinates(q []float64) ([]float64, error) {
	x := make([]float64, len(m.chain.coords))
	for i, c := range m.chain.coords {
		for _, t := range c.Terms {
			if t.Travel >= len(q) {
				return nil, fmt.Errorf("configuration of %d values has none for travel %d", len(q), t.Travel)
			}
			x[i] += float64(t.Sign) * q[t.Travel]
		}
	}
	return x, nil
}
