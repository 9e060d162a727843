package flare

import (
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/printable"
	"feint/internal/solid"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// A block whose upright face slides at the plate, in front of it a gap.
func TestFlare(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	m, err := solid.Facet(mechanism.Block{Hi: geom.Vec{X: 10, Y: 10, Z: 10}}, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	side := -1
	for i := range m.T {
		tr := m.Triangle(i)
		if n := tr.Normal(); n.X > 0.9 {
			side = i
		}
	}
	slide := printable.Slide{Triangle: side, At: geom.Vec{X: 10, Y: 5, Z: 0.5}, Normal: geom.Vec{X: 1}, Other: sample.Tower}
	try := func(gap float64, up geom.Motion) []finding.Finding {
		slide.Gap = gap
		s.Reports[sample.Rod] = &printable.Report{}
		s.Pieces[sample.Rod] = printable.Piece{Mesh: m, Up: up, Slides: []printable.Slide{slide}}
		return check(k)
	}
	if got := try(0.201, geom.Identity()); len(got) != 0 {
		t.Errorf("0.201 mm: %q", got[0].Message)
	}
	if got := try(0.19, geom.Identity()); len(got) != 1 || got[0].Severity != finding.Warning || !strings.Contains(got[0].Message, "0.19 mm per side (0.38 mm across) to tower") {
		t.Errorf("0.19 mm: %+v", got)
	}
	if got := try(0.14, geom.Identity()); len(got) != 1 || got[0].Severity != finding.Fault {
		t.Errorf("0.14 mm: %+v", got)
	}
	lying := geom.Rotation(geom.Line{Dir: geom.Vec{Y: 1}}, math.Pi/2) // the face looks down then
	if got := try(0.14, lying); len(got) != 0 {
		t.Errorf("lying on that face: %q", got[0].Message)
	}
}
