package mirrored

import (
	"testing"

	"feint/internal/mechanism"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestMirrored(t *testing.T) {
	mirror := func(s *mechanism.Shape) *mechanism.Shape {
		return &mechanism.Shape{Op: mechanism.Mirror, Args: []*mechanism.Shape{s}}
	}
	words := &mechanism.Shape{Prim: mechanism.Text{Words: "north"}}
	screw := &mechanism.Shape{Prim: mechanism.Thread{Lead: 3}}
	for _, c := range []struct {
		name  string
		shape *mechanism.Shape
		lead  float64
		found int
		level finding.Severity
	}{
		{"plain words", words, 0, 0, 0},
		{"mirrored words", mirror(words), 0, 1, finding.Warning},
		{"mirrored twice", mirror(mirror(words)), 0, 0, 0},
		{"a thread along its helix", screw, 3, 0, 0},
		{"a thread against it", screw, -3, 1, finding.Fault},
		{"a mirrored thread against it", mirror(screw), 3, 1, finding.Fault},
		{"a mirrored thread along it", mirror(screw), -3, 0, 0},
		{"a mirrored thread of no helix", mirror(screw), 0, 1, finding.Note},
	} {
		k := sample.Case()
		k.Mechanism.Parts[sample.Rod].Shape = c.shape
		if c.lead != 0 {
			k.Mechanism.Travels[sample.RodTurn].Kind, k.Mechanism.Travels[sample.RodTurn].Lead = mechanism.Helix, c.lead
		}
		got := check(k)
		if len(got) != c.found || (c.found > 0 && got[0].Severity != c.level) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}
