package pipeline

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"feint/internal/design"
	"feint/internal/diagram"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/proof"
	"feint/internal/verdict"
)

// A rod that goes in 8 mm pushes the sluice's bar 4 mm, and 5.6 are needed: it is stuck for
// hands, though the bar would go there. The claim passes as it is; spoilt in any field it
// must not.
func TestClosureSpoilt(t *testing.T) {
	shut(t, "testdata/sluice.star", design.Setting{Name: "falls", Value: "0"}, design.Setting{Name: "reach", Value: "8"})
}

// The same where the rod is a tool.
func TestClosureSpoiltTool(t *testing.T) {
	shut(t, "testdata/lockkeeper.star", design.Setting{Name: "reach", Value: "8"})
}

func shut(t *testing.T, file string, set ...design.Setting) {
	t.Helper()
	ctx := context.Background()
	o := Options{Growth: DefaultGrowth, Set: set}
	m, err := Load(file, o)
	if err != nil {
		t.Fatal(err)
	}
	out := &Outcome{Mechanism: m}
	if err := out.build(ctx, o); err != nil {
		t.Fatal(err)
	}
	ps, _, err := maps(ctx, m, out.Bodies, recall(m, out.Bodies, o), o)
	if err != nil {
		t.Fatal(err)
	}
	l := newLeader(out)
	asked := 0
	r, err := hands.Solve(ctx, inHands(out, ps), o.Growth, hands.Options{Closed: func(c *hands.Closure) (string, error) {
		if asked++; asked == 1 {
			spoil(t, l, ps, c)
		}
		return l.closed(ctx, ps)(c)
	}})
	if err != nil {
		t.Fatal(err)
	}
	if r.Drawn.Opens != motion.No || asked == 0 {
		t.Errorf("drawn %+v, asked %d times", r.Drawn, asked)
	}
	for _, n := range r.Noes {
		if n.Err != nil {
			t.Errorf("%s at %g: %v", n.What, n.Growth, n.Err)
		}
	}
}

// spoil tries a claim with every field spoilt.
func spoil(t *testing.T, l *leader, ps []*pairMap, c *hands.Closure) {
	t.Helper()
	m, sp, ctx := l.out.Mechanism, c.Board.Space, context.Background()
	check := func(k *proof.LawClaim) error {
		if err := proof.LawClosed(ctx, k.Law, k.Start, k.Reached, k.Goal); err != nil {
			return err
		}
		k.Covers = blockedAt(m, ps, c.Growth)
		_, err := proof.LawFits(ctx, m, l.trees, l.out.weighed().Runs, k, spots)
		return err
	}
	if err := check(lawClaim(c)); err != nil {
		t.Errorf("as it is: %v", err)
	}
	point, _ := sp.Pick(c.Reached, make([]int32, len(sp.Levels())))
	one := sp.Point(point)
	for _, s := range []struct {
		name  string
		spoil func(k *proof.LawClaim)
	}{
		{"a situation left out", func(k *proof.LawClaim) { k.Reached = sp.Minus(k.Reached, one) }},
		{"nothing reached", func(k *proof.LawClaim) { k.Reached = diagram.Empty }},
		{"another start", func(k *proof.LawClaim) { k.Start = diagram.Empty }},
		{"no goal", func(k *proof.LawClaim) { k.Goal = diagram.Empty }},
		{"everything firm", func(k *proof.LawClaim) {
			for i := range k.Law.Pairs {
				k.Law.Pairs[i].Firm = k.Law.Pairs[i].Free
			}
		}},
		{"less free", func(k *proof.LawClaim) {
			k.Law.Avoid = sp.Minus(diagram.All, sp.And(c.Start, diagram.All))
		}},
		{"a hand tied", func(k *proof.LawClaim) { k.Law.Hands = k.Law.Hands[1:] }},
		{"nothing yields", func(k *proof.LawClaim) {
			for i := range k.Law.Pairs {
				k.Law.Pairs[i].Yield = 0
			}
		}},
		{"pairs that hang on nothing", func(k *proof.LawClaim) {
			for i := range k.Law.Pairs {
				k.Law.Pairs[i].On = 0
			}
		}},
		{"a box that does not turn", func(k *proof.LawClaim) { k.Law.Near = make([][]int, len(k.Law.Near)) }},
		{"levels exchanged", func(k *proof.LawClaim) {
			k.Travels = append([]int(nil), k.Travels...)
			n := len(k.Travels) - 1
			k.Travels[n], k.Travels[n-1] = k.Travels[n-1], k.Travels[n]
		}},
		{"a tool that stays", func(k *proof.LawClaim) {
			k.Tools = append([]int(nil), k.Tools...)
			for i := range k.Tools {
				k.Law.Swaps[i].Ends = make([]diagram.Set, len(k.Law.Swaps[i].Ends))
				for s := range k.Law.Swaps[i].Ends {
					k.Law.Swaps[i].Ends[s] = diagram.Empty
				}
			}
			if len(k.Tools) == 0 {
				k.Tools = []int{0} // one of which the design knows nothing
			}
		}},
		{"a level too few", func(k *proof.LawClaim) { k.Travels = k.Travels[1:] }},
		{"the bar running home by itself", func(k *proof.LawClaim) {
			k.Law.Runs = append(k.Law.Runs, proof.LawRun{Level: levelOf(c, 0), Sure: diagram.All, May: diagram.All})
		}},
	} {
		k := lawClaim(c)
		s.spoil(k)
		if err := check(k); !errors.Is(err, proof.ErrRefused) {
			t.Errorf("%s: %v", s.name, err)
		}
	}
	falls := lawClaim(c) // what may run and is said not to
	free := *m
	free.Travels = append([]mechanism.Travel(nil), m.Travels...)
	for i := range free.Travels {
		if free.Travels[i].Moved == mechanism.ByContact {
			free.Travels[i].Moved = mechanism.ByGravity
		}
	}
	falls.Covers = blockedAt(m, ps, c.Growth)
	box := *l.out.weighed()
	box.Mechanism = &free
	if _, err := proof.LawFits(ctx, &free, l.trees, box.Runs, falls, spots); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("a bar that falls, said not to: %v", err)
	}
	never := func(int, []float64, geom.Vec) (sure, may [2]bool) { return sure, may }
	if _, err := proof.LawFits(ctx, m, l.trees[1:], never, lawClaim(c), 1); err == nil {
		t.Error("a mesh short passed")
	}
}

// levelOf is the level of a travel.
func levelOf(c *hands.Closure, t int) int {
	for l, k := range c.Travels {
		if k == t {
			return l
		}
	}
	return -1
}

// A drone that the queen pushes past its mark for good: the way into the trap is led on the
// meshes, and nothing leads out of it. Where it is said to begin elsewhere, or to be
// reached by a push that the box does not make, it is not told.
func TestTrapFollowed(t *testing.T) {
	path := filepath.Join(rulesDir, "trap", "testdata", "found.star")
	out, err := Prove(context.Background(), path, Options{Growth: DefaultGrowth, uncured: true})
	if err != nil {
		t.Fatal(err)
	}
	if k := out.Hands.Trap; k.Exists != motion.Yes || k.Followed != motion.Yes {
		t.Errorf("%+v", k)
	}
	if !slices.ContainsFunc(out.Verdict.Evidence.Checks, func(c verdict.Check) bool { return c.Agreed && strings.Contains(c.Name, "trap") }) {
		t.Errorf("checks: %+v", out.Verdict.Evidence.Checks)
	}
	ps, _, err := maps(context.Background(), out.Mechanism, out.Bodies, recall(out.Mechanism, out.Bodies, Options{}), Options{Growth: DefaultGrowth})
	if err != nil {
		t.Fatal(err)
	}
	asked := false
	follow := out.leader.trapped(context.Background(), ps)
	_, err = hands.Solve(context.Background(), inHands(out, ps), DefaultGrowth, hands.Options{Trapped: func(w *hands.Way, from func([]float64) *hands.Closure) (motion.Answer, string) {
		asked = true
		if a, why := follow(w, from); a != motion.Yes {
			t.Errorf("as it is: %v, %s", a, why)
		}
		home := func([]float64) *hands.Closure { return from(out.Mechanism.Start) }
		if a, why := follow(w, home); a == motion.Yes {
			t.Errorf("from the start: %s", why)
		}
		bad := *w
		bad.Moves = slices.Clone(w.Moves)
		last := &bad.Moves[len(bad.Moves)-1]
		last.After = slices.Clone(last.After)
		for i := range last.After {
			last.After[i] -= 2 // mm: not where the parts come to
		}
		if a, why := follow(&bad, from); a != motion.No {
			t.Errorf("told elsewhere: %v, %s", a, why)
		}
		return follow(w, from)
	}})
	if err != nil || !asked {
		t.Errorf("asked %v, %v", asked, err)
	}
}
