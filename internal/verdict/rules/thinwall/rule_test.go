package thinwall

import (
	"testing"

	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestThin(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	r := &printable.Report{Thin: []printable.Thin{{Thickness: 0.3, Least: 0.45, Slit: true}}}
	s.Reports[sample.Door] = r
	if got := check(k); len(got) != 0 {
		t.Fatalf("a slit is no wall: %q", got[0].Message)
	}
	r.Thin = append(r.Thin, printable.Thin{Thickness: 0.52, Least: 0.9, Area: 12}, printable.Thin{Thickness: 0.44, Least: 0.9}, printable.Thin{Thickness: 0.3, Least: 0.4, Level: true})
	got := check(k)
	if len(got) != 3 || got[0].Severity != finding.Warning || got[1].Severity != finding.Fault || got[0].Message != "A wall of door ring is 0.52 mm thick over 12 mm2; two lines are 0.90 mm." {
		t.Errorf("got %+v", got)
	}
	// places that are alike are one finding
	r.Thin = append(r.Thin, printable.Thin{Thickness: 0.42, Least: 0.9, Area: 3.4})
	if got = check(k); len(got) != 3 || got[1].Message != "2 walls of door ring are 0.42 mm thick over 3 mm2 in all; two lines are 0.90 mm." {
		t.Errorf("got %+v", got)
	}
}
