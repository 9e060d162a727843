package pipeline

import (
	"context"
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
