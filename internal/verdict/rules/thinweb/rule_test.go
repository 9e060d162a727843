package thinweb

import (
	"math"
	"strings"
	"testing"

	"feint/internal/forces/strength"
	"feint/internal/geom"
	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func web(thick, height, length float64) *finding.Case {
	k := sample.Case()
	k.Mechanism.Parts[sample.Gallery].Material.Name = "PLA"
	s := sample.Survey()
	s.Settings.Line = 0.42
	for i := range s.Reports {
		s.Reports[i] = &printable.Report{}
	}
	s.Reports[sample.Gallery].Webs = []printable.Web{{Thickness: thick, Height: height, Length: length, Lift: geom.Vec{Z: 1}, Others: [2]int{sample.Rod, sample.Rod}}}
	k.Evidence.Printing = s
	return k
}

// The edges are those of doc.md; a long web across the layers of PLA (15 to 30 MPa) bears
// s t2/(6 x 0.509), which is 20 N at 2.018 mm of 15 MPa and at 1.427 mm of 30 MPa.
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		thick float64
		want  string
		unit  string
	}{
		{0.41, "fault", "mm"},
		{0.43, "warning", "mm"},
		{0.83, "warning", "mm"},
		{0.85, "warning", "N"},
		{1.42, "warning", "N"},
		{1.43, "note", "N"},
		{2.01, "note", "N"},
		{2.03, "", ""},
	} {
		got := check(web(c.thick, 2, 20))
		if c.want == "" {
			if len(got) != 0 {
				t.Errorf("%g mm: told %q", c.thick, got[0].Message)
			}
			continue
		}
		if len(got) != 1 || got[0].Severity.String() != c.want || got[0].Unit != c.unit || got[0].Margin >= 0 {
			t.Errorf("%g mm: %+v, want a %s in %s", c.thick, got, c.want, c.unit)
			continue
		}
		if !strings.Contains(got[0].Change, "until it is 2.10 mm") {
			t.Errorf("%g mm: %s", c.thick, got[0].Change)
		}
	}
	if got := check(web(0.5, 0, 0)); len(got) != 1 || !strings.Contains(got[0].Change, "0.84 mm or more") {
		t.Errorf("no free edge: %+v", got)
	}
}

// A long web is Jaramillo's plate: the moment at its root is 0.509 of the force a mm,
// whatever its height; a short one is a bar held at one end (handbooks), whose stress at
// that force is its strength.
func TestBears(t *testing.T) {
	for _, height := range []float64{1, 2, 4} {
		if f := strength.Web(1.2, height, 40, 15); math.Abs(0.509*f*6/(1.2*1.2)-15) > 1e-9 {
			t.Errorf("%g high: %g N", height, f)
		}
	}
	f := strength.Web(1.2, 4, 3, 15)
	if stress, _ := strength.Cantilever(3, 1.2, 4, f, 1); math.Abs(stress-15) > 1e-9 {
		t.Errorf("a bar: %g N give %g MPa", f, stress)
	}
}
