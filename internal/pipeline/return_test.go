package pipeline

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"feint/internal/diagram"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict"
)

// The sluice can be put back: the way there and back is led on the meshes, and refused
// where it is told to end elsewhere. A drone that only its pusher touches cannot be drawn
// back: that is followed, and refused where the start is not what is asked of, or where
// something that comes of the goal is left out.
func TestReturnFollowed(t *testing.T) {
	returns(t, "testdata/sluice.star", motion.Yes, func(follow following, w *hands.Way, _ *hands.Closure) {
		bad := *w
		bad.Moves = slices.Clone(w.Moves)
		last := &bad.Moves[len(bad.Moves)-1]
		last.After = slices.Clone(last.After)
		for i := range last.After {
			last.After[i] += 2 // mm
		}
		if a, why := follow(&bad, nil); a != motion.No {
			t.Errorf("told to end elsewhere: %v, %s", a, why)
		}
	})
	returns(t, filepath.Join(rulesDir, "noreset", "testdata", "found.star"), motion.No, func(follow following, _ *hands.Way, c *hands.Closure) {
		bad, sp := *c, c.Board.Space
		bad.Home = sp.Minus(c.Home, c.Start)
		if a, why := follow(nil, &bad); a == motion.Yes {
			t.Errorf("another home: %s", why)
		}
		bad = *c
		bad.Back = diagram.Empty
		if a, why := follow(nil, &bad); a == motion.Yes {
			t.Errorf("nothing comes of the goal: %s", why)
		}
		bad = *c
		bad.Home = sp.Or(c.Home, c.Back)
		if a, why := follow(nil, &bad); a != motion.No {
			t.Errorf("a home that is come back to: %v, %s", a, why)
		}
	})
}

type following func(*hands.Way, *hands.Closure) (motion.Answer, string)

func returns(t *testing.T, path string, want motion.Answer, spoil func(following, *hands.Way, *hands.Closure)) {
	t.Helper()
	ctx := context.Background()
	out, err := Prove(ctx, path, Options{Growth: DefaultGrowth, uncured: true})
	if err != nil {
		t.Fatal(err)
	}
	if k := out.Hands; k.Reset.Possible != want || k.Return.Followed != motion.Yes {
		t.Errorf("%s: %+v, %+v", path, k.Reset, k.Return)
	}
	if !slices.ContainsFunc(out.Verdict.Evidence.Checks, func(c verdict.Check) bool { return c.Agreed && strings.Contains(c.Name, "back") }) {
		t.Errorf("%s: checks: %+v", path, out.Verdict.Evidence.Checks)
	}
	ps, _, err := maps(ctx, out.Mechanism, out.Bodies, recall(out.Mechanism, out.Bodies, Options{}), Options{Growth: DefaultGrowth})
	if err != nil {
		t.Fatal(err)
	}
	asked := false
	follow := out.leader.returned(ctx, ps)
	_, err = hands.Solve(ctx, inHands(out, ps), DefaultGrowth, hands.Options{Returned: func(w *hands.Way, c *hands.Closure) (motion.Answer, string) {
		asked = true
		if a, why := follow(w, c); a != motion.Yes {
			t.Errorf("%s: as it is: %v, %s", path, a, why)
		}
		spoil(follow, w, c)
		return motion.Yes, ""
	}})
	if err != nil || !asked {
		t.Errorf("%s: asked %v, %v", path, asked, err)
	}
}

// A tool drawn in two places: where it is not at the start it is neither said to be held by
// nothing, nor built in, nor told the play of; and a small one is warned of once.
func TestToolIsOneThing(t *testing.T) {
	out, err := Prove(context.Background(), "testdata/lockkeeper.star", Options{Growth: DefaultGrowth, uncured: true})
	if err != nil {
		t.Fatal(err)
	}
	rod := slices.IndexFunc(out.Mechanism.Parts, func(p mechanism.Part) bool { return p.Name == "rod in the lock" })
	if !out.Mechanism.Elsewhere(rod) || out.Mechanism.Elsewhere(0) {
		t.Fatal("the rod is elsewhere at the start")
	}
	for _, f := range out.Verdict.Findings {
		if f.Rule == "unheld" && slices.Contains(f.Where.Parts, rod) || strings.Contains(f.Message, "small-parts cylinder") && strings.Contains(f.Message, "rod in the lock") {
			t.Errorf("%+v", f)
		}
	}
	for _, e := range out.Document.Handling.Assembly {
		if e.Part == "rod in the lock" {
			t.Errorf("%+v", e)
		}
	}
	for _, p := range out.Document.Play {
		if p.Part == "rod in the lock" {
			t.Errorf("%+v", p)
		}
	}
}
