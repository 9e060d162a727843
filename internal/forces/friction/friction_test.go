package friction

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/units"
)

// Published table (doi 10.1177/1464420720978997, inclined plane): PLA on PLA 0.12
// to 0.38, PETG on PETG 0.13 to 0.21.
func TestTable(t *testing.T) {
	for _, c := range []struct {
		name   string
		lo, hi float64
	}{{"PLA", 0.12, 0.38}, {"petg", 0.13, 0.21}} {
		got, source := Between(c.name, c.name)
		if !got.Has(c.lo) || !got.Has(c.hi) || source == "" {
			t.Errorf("%s: %v from %q, want %g to %g", c.name, got, source, c.lo, c.hi)
		}
	}
}

// Closed form: a slope of 20 degrees is mu = 0.36397 (five digits).
func TestAngle(t *testing.T) {
	if got := OfAngle(forces.Exact(units.Rad(20))).Mid(); math.Abs(got-0.36397) > 5e-6 {
		t.Errorf("tan 20 degrees: %g", got)
	}
	if got := Angle(forces.Interval{Lo: 0.12, Hi: 0.38}); math.Abs(math.Tan(got.Lo)-0.12) > 1e-15 || math.Abs(math.Tan(got.Hi)-0.38) > 1e-15 {
		t.Errorf("there and back: %v", got)
	}
}

// Law: order and case do not matter; what is unknown is wider than what is known.
func TestBetween(t *testing.T) {
	a, _ := Between("steel", "pla")
	b, _ := Between("PLA", "Steel")
	if a != b || a != Unknown() {
		t.Errorf("%v and %v", a, b)
	}
	pla, _ := Between("PLA", "PLA")
	if u := Unknown(); u.Lo > pla.Lo || u.Hi < pla.Hi {
		t.Errorf("%v does not hold %v", u, pla)
	}
	if tpu, _ := Between("PLA", "tpu"); tpu.Hi < 1 {
		t.Errorf("soft on hard: %v", tpu)
	}
}
