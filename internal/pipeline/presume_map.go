package pipeline

import (
	"context"
	"fmt"
	"iter"
	"math"

	"feint/internal/clearance"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/proof"

	"golang.org/x/sync/errgroup"
)

// presumedMap is a presumablePair as motion sees it, with what was shown on the parts as
// they are now.
type presumedMap struct {
	m     *mechanism.Mechanism
	trees []*mesh.Tree
	pair  *presumablePair
	needs [3]float64 // that are asked for, the least first, mm
	cells []presumedCell
}

// presumedCell is a presumableCell, or a piece of one.
type presumedCell struct {
	presumableCell         // Upper as it was; Point on the surface as it is
	now            float64 // Upper as it is
}

// newPresumedMap shows of a pair what can be shown.
func newPresumedMap(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, c *presumablePair, o Options) (*presumedMap, error) {
	const far = 1 // mm, that a surface may have moved
	out := &presumedMap{m: m, trees: trees, pair: c, needs: motion.NeedsPresumed(m, c.A, c.B, o.Growth)}
	for i := range c.Cells {
		k := presumedCell{c.Cells[i], math.Inf(1)}
		if !math.IsInf(k.Upper, 1) {
			of := trees[c.B]
			if k.OnA {
				of = trees[c.A]
			}
			var tri int
			if _, tri, k.Point = of.Boundary().Near(k.Point, far); tri < 0 {
				k.Upper = math.Inf(1)
			}
		}
		out.cells = append(out.cells, k)
	}
	return out, out.show(ctx, out.cells)
}

// show tries of cells every need at which they were blocked, the least first.
func (p *presumedMap) show(ctx context.Context, cells []presumedCell) error {
	for _, need := range p.needs {
		limit := need - motion.BlockedMargin
		var claims []proof.Block
		var of []int
		for i := range cells {
			if k := &cells[i]; k.Upper < limit && math.IsInf(k.now, 1) {
				claims, of = append(claims, p.block(k)), append(of, i)
			}
		}
		ok, err := proof.Shown(ctx, p.m, p.trees, p.pair.A, p.pair.B, terms(p.pair.Coords), need, claims)
		if err != nil {
			return fmt.Errorf("%s and %s: %w", p.m.Parts[p.pair.A].Name, p.m.Parts[p.pair.B].Name, err)
		}
		for j, i := range of {
			if ok[j] {
				cells[i].now = math.Nextafter(limit, math.Inf(-1))
			}
		}
	}
	return nil
}

func (p *presumedMap) block(k *presumedCell) proof.Block {
	n := len(p.pair.Coords)
	return proof.Block{Lo: k.Lo[:n:n], Hi: k.Hi[:n:n], OnA: k.OnA, Point: k.Point}
}

// finer divides the cells of all maps that are no longer blocked by as much as they were,
// and shows of their pieces what can be shown.
func finer(ctx context.Context, maps []*presumedMap, o Options) error {
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(o.workers())
	for _, p := range maps {
		g.Go(func() error {
			var kept, pieces []presumedCell
			for i := range p.cells {
				if k := &p.cells[i]; p.lost(k) {
					pieces = append(pieces, p.pieces(k)...)
				} else {
					kept = append(kept, *k)
				}
			}
			if err := p.show(ctx, pieces); err != nil {
				return err
			}
			p.cells = append(kept, pieces...)
			return nil
		})
	}
	return g.Wait()
}

// lost tells whether a cell was blocked at a need at which it has not been shown to be now.
func (p *presumedMap) lost(k *presumedCell) bool {
	for _, need := range p.needs {
		if limit := need - motion.BlockedMargin; k.Upper < limit {
			return !(k.now < limit)
		}
	}
	return false
}

// pieces halves a cell along every coordinate.
func (p *presumedMap) pieces(k *presumedCell) []presumedCell {
	whole := *k
	whole.now = math.Inf(1)
	out := []presumedCell{whole}
	for i := range p.pair.Coords {
		for j := range out {
			upper, mid := out[j], (out[j].Lo[i]+out[j].Hi[i])/2
			out[j].Hi[i], upper.Lo[i] = mid, mid
			out = append(out, upper)
		}
	}
	return out
}

// Parts are the two parts of the pair.
func (p *presumedMap) Parts() (a, b int) { return p.pair.A, p.pair.B }

// Coords are those of the pair.
func (p *presumedMap) Coords() []clearance.Coord { return p.pair.Coords }

// Refine leaves the map as it is: what it does not show is asked of a map of the parts.
func (p *presumedMap) Refine(context.Context, []float64, float64) error { return nil }

// Cells tile the coordinates.
func (p *presumedMap) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		for i := range p.cells {
			k := &p.cells[i]
			if !yield(clearance.Cell{Lo: k.Lo, Hi: k.Hi, Lower: math.Inf(-1), Upper: k.now}) {
				return
			}
		}
	}
}

func asMotion(maps []*presumedMap) []motion.PairMap {
	out := make([]motion.PairMap, len(maps))
	for i, p := range maps {
		out[i] = p
	}
	return out
}

func terms(cs []clearance.Coord) []proof.Coord {
	var out []proof.Coord
	for i := range cs {
		out = append(out, cs[i].Terms)
	}
	return out
}

// covers lists what was shown to be blocked at a growth.
func covers(m *mechanism.Mechanism, maps []*presumedMap, growth float64) []proof.Cover {
	var out []proof.Cover
	for _, p := range maps {
		c := proof.Cover{Parts: [2]int{p.pair.A, p.pair.B}, Coords: terms(p.pair.Coords)}
		for i := range p.cells {
			if k := &p.cells[i]; k.now < m.Needs(p.pair.A, p.pair.B, growth)-motion.BlockedMargin {
				c.Blocks = append(c.Blocks, p.block(k))
			}
		}
		out = append(out, c)
	}
	return out
}
