package proof

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"
)

// Coord is one coordinate of a pair's relative motion: the signed sum of travels.
type Coord []mechanism.Joint

// Block is a claim: wherever the coordinates are within Lo to Hi, Point, drawn as
// a point of part a (OnA) or of part b, is nearer to the other part than the
// clearance needed.
type Block struct {
	Lo, Hi []float64
	OnA    bool
	Point  geom.Vec
}

// mostBoxes bounds into how many boxes that of a Block is divided before it
// counts as not shown.
const mostBoxes = 1 << 16

// Blocked checks claims about the parts a and b: that the coordinates determine
// how a stands to b; that every witness is a point of its part, on its surface or
// (for a need that is not negative) within it; and that in the whole box its
// signed distance to the other part is less than need (and slack), by the signed
// distance in the middle and a bound of how far the point moves, or of a convex
// facet near it; the box is divided where that is not enough. It is ErrRefused if a
// claim is false, else ErrOpen if one could not be shown; the first such is named.
func Blocked(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, a, b int,
	coords []Coord, need float64, claims []Block,
) error {
	if a < 0 || b < 0 || a >= len(m.Parts) || b >= len(m.Parts) || a == b || len(trees) != len(m.Parts) {
		return fmt.Errorf("%w: there are no parts %d and %d with meshes", ErrRefused, a, b)
	}
	told, err := tell(ctx, m, trees, a, b, coords, need, mostBoxes, claims)
	if err != nil {
		return err
	}
	var open error
	for i, err := range told {
		if err == nil || (open != nil && errors.Is(err, ErrOpen)) {
			continue
		}
		err = fmt.Errorf("claim %d about %q and %q: %w", i+1, m.Parts[a].Name, m.Parts[b].Name, err)
		if !errors.Is(err, ErrOpen) {
			return err
		}
		open = err
	}
	return open
}

// Shown tells of each of claims as those of Blocked whether it can be shown, with boxes
// divided into no more than a few: claims that may be wrong.
func Shown(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, a, b int,
	coords []Coord, need float64, claims []Block,
) ([]bool, error) {
	const few = 32
	told, err := tell(ctx, m, trees, a, b, coords, need, few, claims)
	out := make([]bool, len(told))
	for i := range told {
		out[i] = told[i] == nil
	}
	return out, err
}

// tell tells of each claim what speaks against it, its box divided into no more than most.
func tell(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, a, b int,
	coords []Coord, need float64, most int, claims []Block,
) ([]error, error) {
	k := blocks{
		m: m, trees: trees, a: a, b: b, coords: coords, need: need, first: map[int]int{}, most: most,
		chains: [2][]mechanism.Joint{m.Between(a, b), m.Between(b, a)},
	}
	for i, c := range coords {
		if len(c) > 0 {
			k.first[c[0].Travel] = i
		}
	}
	if err := k.determined(); err != nil {
		return nil, err
	}
	told := make([]error, len(claims))
	return told, k.all(ctx, claims, told)
}

// all checks the claims, several at once.
func (k *blocks) all(ctx context.Context, claims []Block, told []error) error {
	const batch = 256 // claims between two looks at ctx
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for from := 0; from < len(claims); from += batch {
		g.Go(func() error {
			own := *k
			own.on = map[witness]bool{}
			for i := from; i < min(from+batch, len(claims)); i++ {
				told[i] = own.claim(&claims[i])
			}
			return ctx.Err()
		})
	}
	return g.Wait()
}

// witness is a point of one of the parts.
type witness struct {
	onA bool
	p   geom.Vec
}

// blocks are claims about one pair.
type blocks struct {
	m      *mechanism.Mechanism
	trees  []*mesh.Tree
	a, b   int
	coords []Coord
	need   float64
	on     map[witness]bool     // witnesses found to be of their part
	chains [2][]mechanism.Joint // from a to b, from b to a
	first  map[int]int          // the travel that takes a coordinate, and the coordinate
	most   int                  // boxes that a claim may take
	boxes  int                  // left for the claim in hand
	balls  [8]ball              // the last whose side was asked: claims one after the other are near each other
	next   int                  // of balls, to be replaced
}

// values is a configuration with the coordinates x: the first travel of each sum
// takes all of it, the others stand at with.
func (k *blocks) values(x, with []float64) []float64 {
	q := append([]float64(nil), with...)
	for i, c := range k.coords {
		rest := x[i]
		for _, j := range c[1:] {
			rest -= float64(j.Sign) * q[j.Travel]
		}
		q[c[0].Travel] = float64(c[0].Sign) * rest
	}
	return q
}

// relative is how a stands to b.
func (k *blocks) relative(q []float64) geom.Motion {
	return k.m.Pose(k.a, q).Then(k.m.Pose(k.b, q).Inverse())
}

// determined checks that the coordinates are sums of the travels between the
// parts, each in one of them, and that the relative motion depends on nothing
// else: configurations of equal sums, spread over the travels' ranges, must give
// the same motion. The motion being analytic in the travels, it could differ
// elsewhere only if these few places all happened to agree.
func (k *blocks) determined() error {
	between := map[int]bool{}
	for _, j := range k.m.Between(k.a, k.b) {
		between[j.Travel] = true
	}
	used := map[int]bool{}
	for _, c := range k.coords {
		if len(c) == 0 {
			return fmt.Errorf("%w: a coordinate of no travel", ErrRefused)
		}
		for _, j := range c {
			if !between[j.Travel] || used[j.Travel] || (j.Sign != 1 && j.Sign != -1) {
				return fmt.Errorf("%w: the coordinates do not fit the travels between the parts", ErrRefused)
			}
			used[j.Travel] = true
		}
	}
	if len(used) != len(between) {
		return fmt.Errorf("%w: a travel between the parts is in no coordinate", ErrRefused)
	}
	zero := make([]float64, len(k.m.Travels))
	for round := 1; round <= 4; round++ {
		x := make([]float64, len(k.coords))
		other := make([]float64, len(k.m.Travels))
		for i := range x {
			x[i] = math.Sin(float64(7*round + 3*i))
		}
		for i := range other {
			other[i] = math.Cos(float64(5*round + 2*i))
		}
		g, h := k.relative(k.values(x, zero)), k.relative(k.values(x, other))
		size := 1 + r3.Norm(g.T)
		for _, p := range []geom.Vec{{}, {X: size}, {Y: size}, {Z: size}} {
			if r3.Norm(r3.Sub(g.Apply(p), h.Apply(p))) > 1e-9*size {
				return fmt.Errorf("%w: the coordinates do not determine how the parts stand", ErrRefused)
			}
		}
	}
	return nil
}

// claim checks one claim.
func (k *blocks) claim(c *Block) error {
	if len(c.Lo) != len(k.coords) || len(c.Hi) != len(k.coords) {
		return fmt.Errorf("%w: a box of %d sides for %d coordinates", ErrRefused, len(c.Lo), len(k.coords))
	}
	for i := range c.Lo {
		if !(c.Lo[i] <= c.Hi[i]) || math.IsInf(c.Lo[i], 0) || math.IsInf(c.Hi[i], 0) {
			return fmt.Errorf("%w: a box from %g to %g", ErrRefused, c.Lo, c.Hi)
		}
	}
	if !k.of(c) {
		return fmt.Errorf("%w: the witness %v is no point of its part's surface", ErrRefused, c.Point)
	}
	k.boxes = k.most
	return k.near(c, c.Lo, c.Hi)
}

// of tells whether the witness is a point of its part.
func (k *blocks) of(c *Block) bool {
	key := witness{c.OnA, c.Point}
	if known, ok := k.on[key]; ok {
		return known
	}
	t := k.trees[k.b]
	if c.OnA {
		t = k.trees[k.a]
	}
	// on the surface of the solid the side need not be told, which is dearest there
	d, _, _ := t.Boundary().Near(c.Point, 2*slack)
	k.on[key] = d <= slack || k.need >= 0 && t.Inside(c.Point)
	return k.on[key]
}
