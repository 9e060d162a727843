package fused

import (
	"testing"

	"feint/internal/printable"
	"feint/internal/verdict/sample"
)

func TestFused(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	for _, c := range []struct {
		gap   float64
		up    bool
		found int
	}{{0.46, false, 0}, {0.44, false, 1}, {0.21, true, 0}, {0.19, true, 1}} {
		s.Inside = []printable.Inside{{Part: sample.Door, Gap: c.gap, Up: c.up}}
		if got := check(k); len(got) != c.found {
			t.Errorf("%+v: %+v", c, got)
		}
	}
	s.Inside = nil
	s.Reports[sample.Door] = &printable.Report{Thin: []printable.Thin{{Thickness: 0.3, Least: 0.45, Slit: true}, {Thickness: 0.3, Least: 0.9}}}
	if got := check(k); len(got) != 1 {
		t.Errorf("a slit and a wall: %+v", got)
	}
}
