package pipeline

import (
	"errors"
	"fmt"

	"feint/internal/motion"
	"feint/internal/proof"
)

// impossible hands the answers "no" to the checker: the closed set of each, and,
// for every need that such a set rests on, the witness of every blocked cell.
func (c *checker) impossible(ps []*pairMap, o Options) error {
	certs := c.out.Result.Certificates
	growths := map[float64]bool{}
	for i := range certs {
		k := &certs[i]
		o.progress("proof", i, len(certs))
		closure := &proof.Closure{Space: k.Space, Travels: k.Travels, Free: k.Free, Reached: k.Reached}
		err := proof.Closed(c.ctx, c.out.Mechanism, closure, c.out.Mechanism.Goal)
		if err := c.note(claim(k), "what can be reached is closed and misses the goal", err); err != nil {
			return err
		}
		if growths[k.Growth] {
			continue
		}
		growths[k.Growth] = true
		if err := c.witnesses(ps, k.Growth); err != nil {
			return err
		}
	}
	return nil
}

func claim(k *motion.Certificate) string {
	return fmt.Sprintf("no to: %s, at growth %+.3f mm", k.What, k.Growth)
}

// witnesses checks on the meshes that the cells taken for blocked at a growth are.
func (c *checker) witnesses(ps []*pairMap, growth float64) error {
	m := c.out.Mechanism
	n := 0
	var bad error
	for _, p := range ps {
		a, b := p.Parts()
		need := m.Needs(a, b, growth)
		var coords []proof.Coord
		for _, k := range p.Coords() {
			coords = append(coords, k.Terms)
		}
		var claims []proof.Block
		for cell, w := range p.Witnesses(need - motion.BlockedMargin) {
			k := len(coords)
			claims = append(claims, proof.Block{Lo: append([]float64(nil), cell.Lo[:k]...), Hi: append([]float64(nil), cell.Hi[:k]...), OnA: w.OnA, Point: w.Point})
		}
		n += len(claims)
		if err := proof.Blocked(c.ctx, m, c.trees, a, b, coords, need, claims); err != nil {
			bad = fmt.Errorf("%s and %s: %w", m.Parts[a].Name, m.Parts[b].Name, err)
			if !errors.Is(err, proof.ErrRefused) && !errors.Is(err, proof.ErrOpen) {
				return bad
			}
			break
		}
	}
	return c.note(fmt.Sprintf("blocked cells at growth %+.3f mm, each by its witness", growth), fmt.Sprintf("%d cells", n), bad)
}
