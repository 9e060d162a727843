package pipeline

import (
	"context"
	"errors"
	"fmt"

	"feint/internal/diagram"
	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/proof"
)

// closed hands an answer "no" of the directed law to the checker: that what is reached is
// closed under every move, that the law is the design's, and that what is taken for
// blocked is.
func (l *leader) closed(ctx context.Context, ps []*pairMap) func(*hands.Closure) (string, error) {
	return func(c *hands.Closure) (string, error) {
		claim := lawClaim(c)
		if err := proof.LawClosed(ctx, claim.Law, claim.Start, claim.Reached, claim.Goal); err != nil {
			return "", err
		}
		looked, err := l.fits(ctx, ps, c, claim)
		return "what can be reached is closed under every move and misses the goal; " + looked, err
	}
}

// fewest follows that no directed way has fewer than n moves: by the law of the checker,
// as a search of its own, move by move, as far as that goes.
func (l *leader) fewest(ctx context.Context, ps []*pairMap) func(*hands.Closure, int) (int, string, error) {
	return func(c *hands.Closure, n int) (int, string, error) {
		claim := lawClaim(c)
		var shown int
		var err error
		if claim.Reached, shown, err = proof.LawFewest(ctx, claim.Law, claim.Start, claim.Goal, n); err != nil {
			return n, "", err
		}
		looked, err := l.fits(ctx, ps, c, claim)
		detail := fmt.Sprintf("what fewer moves may bring about misses the goal; %s", looked)
		if shown < n {
			detail = fmt.Sprintf("%s; that it takes %d is the search's word alone, more moves bring about too much to be followed", detail, n)
		}
		return shown, detail, err
	}
}

// trapped leads a way into a trap on the meshes, and follows that nothing leads from
// there into the goal.
func (l *leader) trapped(ctx context.Context, ps []*pairMap) func(*hands.Way, func([]float64) *hands.Closure) (motion.Answer, string) {
	return func(w *hands.Way, from func([]float64) *hands.Closure) (motion.Answer, string) {
		detail, err := l.trap(ctx, ps, w, from)
		return confirmed(detail, err)
	}
}

// confirmed is what a check of the second method comes to, and its detail.
func confirmed(detail string, err error) (motion.Answer, string) {
	switch {
	case err == nil:
		return motion.Yes, detail
	case errors.Is(err, proof.ErrRefused):
		return motion.No, err.Error()
	default:
		return motion.Undecided, err.Error()
	}
}

// trapNodes is how many nodes of diagrams are made at most to follow that nothing leads out
// of a trap: some half a second of a desktop processor of 2020.
const trapNodes = 400_000

func (l *leader) trap(ctx context.Context, ps []*pairMap, w *hands.Way, from func([]float64) *hands.Closure) (string, error) {
	d := told(w, nil)
	d.Elsewhere = true
	rep, err := proof.Led(ctx, l.out.Mechanism, l.trees, l.out.weighed().Carried, d)
	if err != nil {
		return "", err
	}
	c := from(rep.At)
	claim := lawClaim(c)
	claim.From, claim.Law.Most = rep, trapNodes
	if err := proof.LawClosed(ctx, claim.Law, claim.Start, claim.Reached, claim.Goal); err != nil {
		if errors.Is(err, proof.ErrRefused) { // the units about it may hold more than the situation itself
			err = fmt.Errorf("%w: %s", proof.ErrOpen, err.Error())
		}
		return "", err
	}
	looked, err := l.fits(ctx, ps, c, claim)
	return fmt.Sprintf("%d moves led on the meshes; what can be reached from there is closed under every move and misses the goal; %s", rep.Deeds, looked), err
}

// returned leads a way into the goal and back on the meshes, or follows that nothing leads
// back.
func (l *leader) returned(ctx context.Context, ps []*pairMap) func(*hands.Way, *hands.Closure) (motion.Answer, string) {
	return func(w *hands.Way, c *hands.Closure) (a motion.Answer, detail string) {
		var err error
		if w != nil {
			d := told(w, nil)
			d.Elsewhere = true
			var rep *proof.DirectedReport
			rep, err = proof.Led(ctx, l.out.Mechanism, l.trees, l.out.weighed().Carried, d)
			detail = fmt.Sprintf("there and back in %d moves, %d falls, %d runs", rep.Deeds, rep.Fallen, rep.Runs)
		} else {
			detail, err = l.noReturn(ctx, ps, c)
		}
		return confirmed(detail, err)
	}
}

func (l *leader) noReturn(ctx context.Context, ps []*pairMap, c *hands.Closure) (string, error) {
	claim := lawClaim(c)
	claim.Home, claim.Law.Most = c.Home, trapNodes
	if err := proof.LawNoReturn(ctx, claim.Law, claim.Start, claim.Reached, claim.Goal, c.Back, c.Home); err != nil {
		return "", err
	}
	looked, err := l.fits(ctx, ps, c, claim)
	return "what can be reached, and what can be reached from the goal, is closed under every move, and the start is not in it; " + looked, err
}

// fits looks whether the law of a claim is the design's, and tells what was looked at.
func (l *leader) fits(ctx context.Context, ps []*pairMap, c *hands.Closure, claim *proof.LawClaim) (string, error) {
	m, cells := l.out.Mechanism, 0
	claim.Covers = blockedAt(m, ps, c.Growth)
	for i := range claim.Covers {
		cells += len(claim.Covers[i].Blocks)
	}
	if l.shown == nil {
		l.shown = make([]shown, len(ps))
	}
	if err := blocked(ctx, m, l.trees, claim.Covers, c.Growth, l.shown); err != nil {
		return "", err
	}
	if c.Avoid >= 0 {
		claim.Avoid = &m.Steps[c.Avoid]
	}
	looked, err := proof.LawFits(ctx, m, l.trees, l.out.weighed().Runs, claim, spots)
	return fmt.Sprintf("%d blocked cells, each by its witness; %d places looked at", cells, looked), err
}

// lawClaim is a closure as the checker reads it.
func lawClaim(c *hands.Closure) *proof.LawClaim {
	b := c.Board
	l := &proof.Law{
		Space: b.Space, Free: b.Free, Avoid: b.Avoid, Hands: b.Movers, Give: b.Give, Slack: b.Slack,
		Attitude: b.Attitude, Near: b.Near, Mixed: b.Mixed, Aid: aid(b),
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

// aid lets the search foretell what the checker would follow unit by unit.
func aid(b *hands.Board) *proof.Aid {
	return &proof.Aid{
		Led: b.Led,
		Loose: func(x diagram.Set, held diagram.Levels, runs []proof.LawRun) diagram.Set {
			ds := make([]hands.Drive, len(runs))
			for i, r := range runs {
				ds[i] = hands.Drive{Level: r.Level, Up: r.Up, Sure: r.Sure, May: r.May, Pushes: r.Pushes}
			}
			return b.Fallen(x, held, ds)
		},
	}
}
