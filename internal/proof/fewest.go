package proof

import (
	"context"
	"fmt"
	"slices"

	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// Rungs is a certificate that no way into a goal has fewer moves than there are sets in
// Reached, where a move is all that one part does while the others rest. Space, Travels
// and Free are those of a Closure. Reached[k] is the claim what k moves can come to, and
// Ends[k][i] what one more move of Parts[i] can, what it begins with included.
type Rungs struct {
	Space   *diagram.Space
	Travels []int
	Free    diagram.Set
	Parts   []int // all that travel
	Reached []diagram.Set
	Ends    [][]diagram.Set
}

// Fewest checks the certificate: that Reached[0] holds every free unit that the start
// touches; that Ends[k][i] holds Reached[k], that no step along a travel of Parts[i] leads
// from it to a unit of Free outside it, and that it lies within Reached[k+1]; and that no
// unit of the last of Reached touches the goal. Like Closed it walks the nodes itself and
// takes Free as given.
func Fewest(ctx context.Context, m *mechanism.Mechanism, c *Rungs, goal mechanism.Region) error {
	all := &Closure{Space: c.Space, Travels: c.Travels, Free: c.Free}
	if err := all.fits(m); err != nil {
		return err
	}
	if err := c.fits(m); err != nil {
		return err
	}
	k := &closure{ctx: ctx, s: c.Space, levels: c.Space.Levels(), bad: map[[3]diagram.Set]bool{}}
	if k.outside(k.box(all.starts(m)), c.Free, c.Reached[0]) {
		return fmt.Errorf("%w: a free place at the start is not among those reached by no move", ErrRefused)
	}
	for n, ends := range c.Ends {
		for i, p := range c.Parts {
			if err := k.rung(m, c, p, c.Reached[n], ends[i], c.Reached[n+1]); err != nil {
				return fmt.Errorf("move %d: %w", n+1, err)
			}
		}
	}
	if k.outside(k.box(all.ends(m, goal)), c.Reached[len(c.Reached)-1], diagram.Empty) {
		return fmt.Errorf("%w: a place reached by %d moves lies in the goal", ErrRefused, len(c.Reached)-1)
	}
	if err := c.Space.Err(); err != nil {
		return fmt.Errorf("%w: %w", ErrOpen, err)
	}
	return ctx.Err()
}

// rung checks one move of part p from what was reached.
func (k *closure) rung(m *mechanism.Mechanism, c *Rungs, p int, from, ends, to diagram.Set) error {
	name := m.Parts[p].Name
	if k.outside(from, diagram.All, ends) {
		return fmt.Errorf("%w: %q cannot stay where it is", ErrRefused, name)
	}
	for l, t := range c.Travels {
		if m.Travels[t].Part != p {
			continue
		}
		k.along, k.seen = l, map[[2]diagram.Set]bool{}
		if k.leaks(ends, c.Free) {
			return fmt.Errorf("%w: travel %q of %q leads out of what it is said to reach", ErrRefused, m.Travels[t].Name, name)
		}
	}
	if k.outside(ends, diagram.All, to) {
		return fmt.Errorf("%w: what %q reaches is left out", ErrRefused, name)
	}
	return nil
}

// fits checks that every part that travels is there once, and every move.
func (c *Rungs) fits(m *mechanism.Mechanism) error {
	var movers []int
	for p := range m.Parts {
		if len(m.Parts[p].Travels) > 0 {
			movers = append(movers, p)
		}
	}
	if got := slices.Sorted(slices.Values(c.Parts)); !slices.Equal(got, movers) {
		return fmt.Errorf("%w: the moves are of parts %v, and %v travel", ErrRefused, got, movers)
	}
	if len(c.Reached) == 0 || len(c.Ends) != len(c.Reached)-1 {
		return fmt.Errorf("%w: %d sets reached by %d moves", ErrRefused, len(c.Reached), len(c.Ends))
	}
	for _, ends := range c.Ends {
		if len(ends) != len(c.Parts) {
			return fmt.Errorf("%w: a move of %d parts, and %d travel", ErrRefused, len(ends), len(c.Parts))
		}
	}
	return nil
}
