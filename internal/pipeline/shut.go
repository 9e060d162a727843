package pipeline

import (
	"context"
	"fmt"

	"feint/internal/hands"
	"feint/internal/proof"
)

// closed hands an answer "no" of the directed law to the checker: that what is reached is
// closed under every move, that the law is the design's, and that what is taken for
// blocked is.
func (l *leader) closed(ctx context.Context, ps []*pairMap) func(*hands.Closure) (string, error) {
	return func(c *hands.Closure) (string, error) {
		m := l.out.Mechanism
		claim := lawClaim(c)
		if err := proof.LawClosed(ctx, claim.Law, claim.Start, claim.Reached, claim.Goal); err != nil {
			return "", err
		}
		cells := 0
		claim.Covers = blockedAt(m, ps, c.Growth)
		for i := range claim.Covers {
			cells += len(claim.Covers[i].Blocks)
		}
		if err := blocked(ctx, m, l.trees, claim.Covers, c.Growth, make([]shown, len(ps))); err != nil {
			return "", err
		}
		if c.Avoid >= 0 {
			claim.Avoid = &m.Steps[c.Avoid]
		}
		looked, err := proof.LawFits(ctx, m, l.trees, l.out.weighed().Runs, claim, spots)
		return fmt.Sprintf("what can be reached is closed under every move and misses the goal; %d blocked cells, each by its witness; %d places looked at", cells, looked), err
	}
}

// lawClaim is a closure as the checker reads it.
func lawClaim(c *hands.Closure) *proof.LawClaim {
	b := c.Board
	l := &proof.Law{
		Space: b.Space, Free: b.Free, Avoid: b.Avoid, Hands: b.Movers, Give: b.Give, Slack: b.Slack,
		Attitude: b.Attitude, Near: b.Near, Mixed: b.Mixed,
	}
	for i, p := range b.Pairs {
		l.Pairs = append(l.Pairs, proof.LawPair{A: c.Parts[i][0], B: c.Parts[i][1], Free: p.Free, Firm: p.Firm, Yield: p.Yield, On: p.On})
	}
	for _, d := range b.Drives {
		l.Runs = append(l.Runs, proof.LawRun{Level: d.Level, Up: d.Up, Sure: d.Sure, May: d.May, Pushes: d.Pushes})
	}
	for _, s := range b.Swaps {
		l.Swaps = append(l.Swaps, proof.LawSwap{Levels: s.Levels, Ends: s.Ends})
	}
	return &proof.LawClaim{Law: l, Travels: c.Travels, Tools: c.Tools, Growth: c.Growth, Start: c.Start, Reached: c.Reached, Goal: c.Goal}
}
