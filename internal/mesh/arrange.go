package mesh

import (
	"errors"
	"fmt"
	"math"

	"feint/internal/geom"
)

// Options of the arrangement.
type Options struct {
	Workers int             // goroutines, 0 for GOMAXPROCS; no result depends on it
	Stop    <-chan struct{} // closed to end the work with ErrStopped; nil never does
}

// ErrStopped is returned where Options.Stop ended the work.
var ErrStopped = errors.New("stopped")

// TooMuch says that solids cross each other in more places than an arrangement takes.
type TooMuch struct{ Places int }

func (t *TooMuch) Error() string {
	return fmt.Sprintf("its solids cross in more than %d places, which would take all memory: join fewer of them, or draw them coarser (tolerance of the sheet)", t.Places)
}

// The most that an arrangement takes: pairs of faces whose boxes meet, and pairs that
// cross. The lighthouse's richest part has 38 000 crossings; 120 rods crossed at random
// have some 4 million and took 13 GB, 255 000 took half a gigabyte.
const (
	mostPairs   = 20_000_000
	mostCrossed = 500_000
)

// Unresolved says that a result could not be brought onto the grid without
// self-intersection. Nothing is returned in its stead.
type Unresolved struct {
	At     geom.Vec // mm
	Reason string
	Change string // what to do; "" is to let the solids overlap or stay clear
}

func (u *Unresolved) Error() string {
	do := u.Change
	if do == "" {
		do = "let the solids overlap or stay clear of each other by 0.02 mm there"
	}
	return fmt.Sprintf("unresolved near %s: %s; %s", at(u.At), u.Reason, do)
}

// at writes a place for a maker.
func at(v geom.Vec) string { return fmt.Sprintf("(%.4g, %.4g, %.4g) mm", v.X, v.Y, v.Z) }

// NotSolid says that a mesh given to Arrange does not bound a solid.
type NotSolid struct {
	Solid  int // its number in the call, from 0
	Defect Defect
}

func (n *NotSolid) Error() string {
	return fmt.Sprintf("mesh %d does not bound a solid: %s", n.Solid, n.Defect.String())
}

// Arrange makes one mesh of several solids. inside tells from the membership
// of a point in each of them whether it belongs to the result; it must be a
// pure function, and false where the point is in none.
//
// Every solid is a closed two-manifold mesh that faces outwards, of one or
// more shells. Its coordinates are rounded to the grid of 2^-16 mm and must
// stay within Reach (2^13 mm); within 256 mm the result is exact in float32.
//
// The result is watertight, two-manifold by its vertex numbers (vertices along
// edges at which it touches itself are doubled, with the material between the
// faces that stay together), faces outwards, lies on the grid and has no
// self-intersection. An empty result is a mesh without triangles. Errors are
// *NotSolid and *Unresolved.
//
// Method: exact arrangement of the triangles' planes in rational coordinates
// and cells told apart by winding numbers (Q. Zhou, E. Grinspun, D. Zorin,
// A. Jacobson, Mesh Arrangements for Solid Geometry, ACM Trans. Graphics 35
// (2016), article 39), then rounding with checks.
func Arrange(solids []*Mesh, inside func(in []bool) bool, o Options) (*Mesh, error) {
	in := make([]bool, len(solids))
	if inside(in) {
		return nil, fmt.Errorf("the result would reach without end: a point in no solid must not belong to it")
	}
	crosses, err := checkSolids(solids, o.count())
	if err != nil {
		return nil, err
	}
	return resolve(solids, crosses, o, func(winding []int32) bool {
		for i, w := range winding {
			in[i] = w > 0
		}
		return inside(in)
	})
}

// rounds is how often a result that still crosses itself after rounding is
// arranged anew, patience how many of them in a row may bring no improvement.
// What gets better at all does so soon (measured on scenes turned by 1e-6 to
// 1e-2 against each other), and each round in vain adds triangles.
const (
	rounds   = 8
	patience = 2
)

// resolve arranges and rounds; what cannot be rounded is tried again with the
// solids grown that are flush with others.
func resolve(solids []*Mesh, crosses []bool, o Options, keep func([]int32) bool) (*Mesh, error) {
	a := newArrangement(solids, crosses, o)
	m, err := a.settled(keep)
	var u *Unresolved
	if !errors.As(err, &u) {
		return m, err
	}
	larger, ok := grown(solids, a)
	if !ok {
		return nil, err
	}
	crosses = make([]bool, len(larger))
	for i, m := range larger {
		crosses[i] = len(m.rounded().SelfIntersections(1)) > 0
	}
	if m, again := newArrangement(larger, crosses, o).settled(keep); again == nil {
		return m, nil
	}
	return nil, err
}

// settled arranges, rounds, and arranges anew what rounding made cross.
func (a *arrangement) settled(keep func([]int32) bool) (*Mesh, error) {
	var m *Mesh
	var crossed [][2]int32
	least, idle := math.MaxInt/2, 0
	for n := 0; n < rounds && idle < patience; n++ {
		s, err := a.surface(keep)
		if err != nil {
			return nil, err
		}
		if m, crossed = s.settle(); len(crossed) == 0 {
			return m, nil
		}
		if idle++; len(crossed) > 2*least {
			break
		}
		if len(crossed) < least {
			least, idle = len(crossed), 0
		}
		a = newArrangement([]*Mesh{m}, []bool{true}, Options{a.workers, a.stop})
		keep = func(w []int32) bool { return w[0] > 0 }
	}
	return nil, &Unresolved{
		At:     m.middle(crossed[0][0]),
		Reason: fmt.Sprintf("%d pairs of faces cross after rounding to the grid", len(crossed)),
	}
}

// surface is the exact part, without rounding.
func (a *arrangement) surface(keep func([]int32) bool) (*surface, error) {
	if err := a.crossAll(); err != nil {
		return nil, err
	}
	x, err := a.sew()
	if err != nil {
		return nil, err
	}
	c, err := x.findCells()
	if err != nil {
		return nil, err
	}
	if a.stopped() {
		return nil, ErrStopped
	}
	if err := c.classify(keep); err != nil {
		return nil, err
	}
	if a.stopped() {
		return nil, ErrStopped
	}
	return c.extract()
}
