package printed

import (
	"math"
	"testing"
)

// ISO 286-1, table of standard tolerances (seen in stored pages): IT6 to IT12,
// micrometres; the formula with the geometric mean of the step agrees within 4 %.
func TestISO286(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   [7]float64
	}{
		{10, 18, [7]float64{11, 18, 27, 43, 70, 110, 180}},
		{18, 30, [7]float64{13, 21, 33, 52, 84, 130, 210}},
		{30, 50, [7]float64{16, 25, 39, 62, 100, 160, 250}},
	} {
		for k, want := range c.want {
			got, err := Tolerance(6+k, c.hi)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "table", got*1000, want, 1e-9)
			near(t, "formula", isoFormula(6+k, math.Sqrt(c.lo*c.hi))*1000, want, 0.04*want)
		}
	}
	if _, err := Tolerance(5, 20); err == nil {
		t.Error("IT5")
	}
	if _, err := Tolerance(7, 0.5); err == nil {
		t.Error("half a millimetre")
	}
}

// A length of 20 mm whose walls differ by 0.01 mm from print to print has a
// standard deviation of 0.02, six of which are 0.12 mm: IT11 (0.13) holds it, IT10
// (0.084) does not.
func TestGrade(t *testing.T) {
	m := &Model{}
	m.Amounts[InPlane].Prints = 0.01
	if g, ok := m.Grade(20, ""); !ok || g != 11 {
		t.Errorf("IT%d %v, want IT11", g, ok)
	}
	if g, ok := Unknown().Grade(20, ""); !ok || g < 15 {
		t.Errorf("the unknown printer holds IT%d %v", g, ok)
	}
}
