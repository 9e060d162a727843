package pipeline

import (
	"context"
	"errors"
	"path/filepath"
	"testing"

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
