package pipeline

import (
	"errors"
	"fmt"

	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/proof"
)

// impossible hands the answers "no" to the checker: the closed set of each, and,
// for every need that such a set rests on, the witness of every blocked cell.
func (c *checker) impossible(ps []*pairMap, covers map[float64][]proof.Cover, o Options) error {
	certs := c.result.Certificates
	seen := map[float64]bool{}
	for i := range certs {
		k := &certs[i]
		o.progress("proof", i, len(certs))
		closure := &proof.Closure{Space: k.Space, Travels: k.Travels, Free: k.Free, Reached: k.Reached}
		err := proof.Closed(c.ctx, c.out.Mechanism, closure, c.out.Mechanism.Goal)
		if err := c.note(claim(k), "what can be reached is closed and misses the goal", err); err != nil {
			return err
		}
		if !seen[k.Growth] {
			seen[k.Growth] = true
			if err := c.witnesses(ps, k.Growth, covers[k.Growth]); err != nil {
				return err
			}
		}
		var avoid *mechanism.Region
		if k.Avoid >= 0 {
			avoid = &c.out.Mechanism.Steps[k.Avoid]
		}
		looked, err := proof.Covered(c.ctx, c.out.Mechanism, closure, avoid, covers[k.Growth], spots)
		if err := c.note("the border of: "+k.What, fmt.Sprintf("%d places looked at, each claimed blocked", looked), err); err != nil {
			return err
		}
	}
	return nil
}

func claim(k *motion.Certificate) string {
	return fmt.Sprintf("no to: %s, at growth %+.3f mm", k.What, k.Growth)
}

// spots is how many places on the border of what was reached are looked at.
const spots = 1000

// allClaims lists, for every growth at which something is told impossible, the cells
// taken for blocked.
func (c *checker) allClaims(ps []*pairMap) map[float64][]proof.Cover {
	out := map[float64][]proof.Cover{}
	for i := range c.result.Certificates {
		g := c.result.Certificates[i].Growth
		if _, ok := out[g]; !ok {
			out[g] = blockedAt(c.out.Mechanism, ps, g)
		}
	}
	return out
}

// blockedAt lists by pair the cells taken for blocked at a growth.
func blockedAt(m *mechanism.Mechanism, ps []*pairMap, growth float64) []proof.Cover {
	out := make([]proof.Cover, len(ps))
	for i, p := range ps {
		a, b := p.Parts()
		out[i].Parts = [2]int{a, b}
		for _, k := range p.Coords() {
			out[i].Coords = append(out[i].Coords, k.Terms)
		}
		k := len(out[i].Coords)
		for cell, w := range p.Witnesses(m.Needs(a, b, growth) - motion.BlockedMargin) {
			out[i].Blocks = append(out[i].Blocks, proof.Block{Lo: append([]float64(nil), cell.Lo[:k]...), Hi: append([]float64(nil), cell.Hi[:k]...), OnA: w.OnA, Point: w.Point})
		}
	}
	return out
}

// witnesses checks on the meshes that the cells taken for blocked at a growth are.
func (c *checker) witnesses(ps []*pairMap, growth float64, covers []proof.Cover) error {
	m := c.out.Mechanism
	n := 0
	var bad error
	for i, p := range ps {
		a, b := p.Parts()
		n += len(covers[i].Blocks)
		if err := proof.Blocked(c.ctx, m, c.trees, a, b, covers[i].Coords, m.Needs(a, b, growth), covers[i].Blocks); err != nil {
			bad = fmt.Errorf("%s and %s: %w", m.Parts[a].Name, m.Parts[b].Name, err)
			if !errors.Is(err, proof.ErrRefused) && !errors.Is(err, proof.ErrOpen) {
				return bad
			}
			break
		}
	}
	return c.note(fmt.Sprintf("blocked cells at growth %+.3f mm, each by its witness", growth), fmt.Sprintf("%d cells", n), bad)
}
