package boreundersize

import (
	"testing"

	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// boxed is a case with one fit of the rod in the gallery.
func boxed(f mating.Fit) *finding.Case {
	k := sample.Case()
	s := &printable.Survey{Settings: printable.Default(), Reports: make([]*printable.Report, 5), Pieces: make([]printable.Piece, 5)}
	for i := range s.Reports {
		s.Reports[i] = &printable.Report{}
		s.Pieces[i].Up = geom.Identity()
	}
	f.Outer, f.Inner = sample.Gallery, sample.Rod
	f.Axis.Dir, f.Relative = geom.Vec{Z: 1}, geom.Identity()
	s.Fits = []mating.Fit{f}
	k.Evidence.Printing = s
	return k
}

func TestBore(t *testing.T) {
	for _, c := range []struct {
		gap   float64
		round bool
		found int
		fault bool
	}{{0.151, true, 0, false}, {0.149, true, 1, false}, {0.1, true, 1, true}, {0.1, false, 0, false}} {
		got := check(boxed(mating.Fit{Gap: c.gap, Round: c.round, Wide: 12}))
		if len(got) != c.found || (c.found > 0 && (got[0].Severity == finding.Fault) != c.fault) {
			t.Errorf("gap %g, round %v: %+v", c.gap, c.round, got)
		}
	}
	k := boxed(mating.Fit{Gap: 0.1, Round: true, Wide: 12})
	k.Evidence.Printing.Pieces[sample.Gallery].Up = geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, 1.5)
	if got := check(k); len(got) != 0 {
		t.Errorf("lying: %q", got[0].Message)
	}
}
