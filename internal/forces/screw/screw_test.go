package screw

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/units"
)

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: %.8g, want %.8g", what, got, want)
	}
}

// shigley is the power screw of Shigley's Mechanical Engineering Design, example
// 8-1: square thread, 32 mm, pitch 4 mm, two starts, friction 0.08 of thread and
// collar, collar 40 mm, 6.4 kN (inputs from memory, answers read).
func shigley() Thread { return Thread{Mean: 30, Lead: 8, Collar: 40} }

// Published worked example: raise 26.18 N m, lower 9.77 N m, efficiency 0.311.
func TestShigley(t *testing.T) {
	s := shigley()
	q := s.Under(6400, 0.08, 0.08)
	near(t, "raise", q.Raise, 26180, 1e-3)
	near(t, "lower", q.Lower, 9770, 1e-3)
	near(t, "efficiency", s.Efficiency(6400, 0.08, 0.08), 0.311, 2e-3)
	near(t, "tangent of the lead angle", math.Tan(s.LeadAngle()), 0.0849, 1e-3)
}

// The same example: its thread alone does not hold itself, its collar does.
func TestShigleyHolds(t *testing.T) {
	f := forces.Exact(0.08)
	if s := shigley(); s.Holds(f, f) != forces.Yes {
		t.Error("with its collar it holds")
	}
	bare := shigley()
	bare.Collar = 0
	if bare.Holds(f, f) != forces.No {
		t.Error("0.0849 > 0.08: the thread alone does not hold")
	}
	if bare.Holds(forces.Interval{Lo: 0.08, Hi: 0.09}, f) != forces.Maybe {
		t.Error("0.0849 lies between 0.08 and 0.09")
	}
}

// Published worked example: R. L. Mott, Machine Elements in Mechanical Design,
// example 17-1: Acme, 12 500 lb, pitch diameter 1.3429 in, lead 0.25 in, friction
// 0.15, 14.5 degrees: 1809 lb in (its rounding, 0.5 %).
func TestMott(t *testing.T) {
	s := Thread{Mean: 1.3429, Lead: 0.25, Flank: units.Rad(14.5)}
	near(t, "raise", s.Under(12500, 0.15, 0).Raise, 1809, 5e-3)
}

// Closed form: without friction the torque is f l/(2 pi) both ways; a thread whose
// lead angle reaches the complement of the friction angle jams.
func TestLimits(t *testing.T) {
	s := Thread{Mean: 20, Lead: 6}
	q := s.Under(100, 0, 0)
	near(t, "raise", q.Raise, 600/(2*math.Pi), 1e-14)
	near(t, "lower", q.Lower, -600/(2*math.Pi), 1e-14)
	steep := Thread{Mean: 1, Lead: 2 * math.Pi}
	if !math.IsInf(steep.Under(1, 0.5, 0).Raise, 1) || steep.Efficiency(1, 0.5, 0) != 0 {
		t.Error("mu tan(lead) = 1 jams")
	}
}

// Law: the range holds the torques of every inner value.
func TestRange(t *testing.T) {
	s := Thread{Mean: 14, Lead: 12, Flank: 0.6, Collar: 9}
	f, mu := forces.Interval{Lo: 0.1, Hi: 3}, forces.Interval{Lo: 0.05, Hi: 0.4}
	raise, lower := s.Range(f, mu, mu)
	for i := range 11 {
		for j := range 11 {
			q := s.Under(0.1+0.29*float64(i), 0.05+0.035*float64(j), 0.05+0.035*float64(j))
			if q.Raise < raise.Lo-1e-12 || q.Raise > raise.Hi+1e-12 || q.Lower < lower.Lo-1e-12 || q.Lower > lower.Hi+1e-12 {
				t.Fatalf("%v outside of %v, %v", q, raise, lower)
			}
		}
	}
}

// Closed forms: at the steepest lead angle the lowering torque (Shigley, equation 8-2) is 0;
// a screw without a collar at the border of holding itself has an efficiency of
// (1 - tan2 phi)/2, below a half (handbooks: a self-locking screw wastes more than half).
func TestSteepest(t *testing.T) {
	for _, mu := range []float64{0.08, 0.12, 0.38} {
		for _, s := range []Thread{{Mean: 30, Collar: 40}, {Mean: 12}, {Mean: 20, Flank: units.Rad(14.5)}} {
			s.Lead = math.Pi * s.Mean * math.Tan(s.Steepest(mu, mu))
			if low := s.Under(1, mu, mu).Lower; math.Abs(low) > 1e-9*s.Mean {
				t.Errorf("%+v at %g: lowering takes %g", s, mu, low)
			}
			if s.Collar == 0 && s.Flank == 0 {
				near(t, "efficiency", s.Efficiency(1, mu, 0), (1-mu*mu)/2, 1e-9)
			}
		}
	}
	// Shigley, example 8-1: tangents 0.0849 against 0.08 without, and more with the collar
	bare, whole := Thread{Mean: 30, Lead: 8}, shigley()
	if bare.LeadAngle() < bare.Steepest(0.08, 0.08) || whole.LeadAngle() > whole.Steepest(0.08, 0.08) {
		t.Error("the thread alone runs back, with its collar it holds")
	}
}
