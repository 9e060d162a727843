package pipeline

import (
	"context"
	"errors"
	"path/filepath"
	"testing"

	"feint/internal/design"
	"feint/internal/export"

	"github.com/google/go-cmp/cmp"
)

// What is told early is what is told in the end, less the findings that follow.
func TestEarly(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes with the race detector, which uses -short; the plain run has it")
	}
	type stands struct {
		Verdict, Sentence string
		Certified         bool
		Moves, Least      *int
		Solution, Steps   any
		Fit, Play, Checks any
	}
	var first *stands
	o := Options{Cache: store(t)}
	take := func(out *Outcome) *stands {
		d := out.Document
		return &stands{d.Verdict, d.Sentence, d.Certified, d.Moves, d.MovesLeast, d.Solution, d.Steps, d.Fit, d.Play, d.Checks}
	}
	o.Early = func(out *Outcome) {
		if first = take(out); out.Document.Handling != nil {
			t.Error("handling is told before it was asked")
		}
	}
	for _, path := range []string{"../../examples/ferry/ferry.star", filepath.Join("testdata", "toll.star")} {
		out, err := Prove(context.Background(), path, o)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(take(out), first); d != "" {
			t.Errorf("%s: in the end, and early:\n%s", path, d)
		}
	}
}

// A proof that is stopped once its verdict is told leaves its maps to the next one.
func TestStoppedAfterEarly(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	const path = "../../examples/ferry/ferry.star"
	o := Options{Cache: store(t)}
	o.Early = func(*Outcome) { stop() }
	if _, err := Prove(ctx, path, o); !errors.Is(err, context.Canceled) {
		t.Fatalf("stopped: %v", err)
	}
	m, err := Load(path, o)
	if err != nil {
		t.Fatal(err)
	}
	bs, err := bodies(context.Background(), m, o)
	if err != nil {
		t.Fatal(err)
	}
	for a := range m.Parts {
		for b := a + 1; b < len(m.Parts); b++ {
			if _, ok := o.Cache.Get(pairKey(m, a, b, bs[a].Hash, bs[b].Hash)); !ok {
				t.Errorf("the map of %s and %s is lost", m.Parts[a].Name, m.Parts[b].Name)
			}
		}
	}
}

// What is told of the growths asked, before it is known how far beyond them it holds, is
// the verdict of the end, and the way is as short; of a box that works the sentence too.
// Where more than the hand moves parts nothing is told before.
func TestAsked(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute with the race detector, which uses -short; the plain run has it")
	}
	for _, k := range []struct {
		path, set string
		told      bool
	}{
		{"../../examples/ferry/ferry.star", "", true},
		{"../../examples/latch-rod/latch-rod.star", "", true},
		{"../../examples/lighthouse/lighthouse.star", "", true},
		{"../../examples/lighthouse/lighthouse.star", "slot=1.33", true}, // with play a step may be left out
		{"testdata/toll.star", "", true},                                 // a shortcut
		{"../../examples/lighthouse/lighthouse-1.star", "", true},
		{"../../examples/lighthouse/lighthouse-2.star", "", true}, // binds
		{"../../examples/beehive/beehive.star", "", false},
	} {
		o := Options{Cache: store(t), uncured: true}
		if k.set != "" {
			set, err := design.ParseSetting(k.set)
			if err != nil {
				t.Fatal(err)
			}
			o.Set = append(o.Set, set)
		}
		var asked, early *export.Document
		o.Asked = func(out *Outcome) {
			if asked = out.Document; early != nil {
				t.Errorf("%s: told of the growths asked after the limits", k.path)
			}
		}
		ctx, stop := context.WithCancel(context.Background())
		o.Early = func(out *Outcome) {
			early = out.Document
			stop() // the verdict stands, as TestEarly tells
		}
		if _, err := Prove(ctx, k.path, o); !errors.Is(err, context.Canceled) {
			t.Fatal(err)
		}
		if (asked != nil) != k.told {
			t.Errorf("%s: told before the limits: %t, want %t", k.path, asked != nil, k.told)
		}
		if asked == nil {
			continue
		}
		d := early
		if asked.Verdict != d.Verdict || d.ExitStatus == 0 && asked.Sentence != d.Sentence || asked.Certified != d.Certified || !cmp.Equal(asked.Moves, d.Moves) && (asked.Moves != nil || d.ExitStatus == 0) || asked.Moves != nil && !cmp.Equal(asked.MovesLeast, d.MovesLeast) {
			t.Errorf("%s %s: of the growths asked:\n%s %t %s\nin the end:\n%s %t", k.path, k.set, asked.Sentence, asked.Certified, cmp.Diff(asked.Moves, d.Moves), d.Sentence, d.Certified)
		}
		// what it says of the limits must hold in the end
		if l, all := asked.Fit.BindLimit, d.Fit.BindLimit; l.Lo != nil && all.Hi != nil && *all.Hi < *l.Lo {
			t.Errorf("%s: binds at %g, and opened at %g", k.path, *all.Hi, *l.Lo)
		}
		for i := range asked.Steps {
			if h, all := asked.Steps[i].Holds, d.Steps[i].Holds; h == nil && d.ExitStatus == 0 || h != nil && (all == nil || *all > *h) {
				t.Errorf("%s: %s holds to %v, and in the end to %v", k.path, d.Steps[i].Name, h, all)
			}
		}
	}
}
