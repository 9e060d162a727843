package printable

import (
	"math"
	"testing"
)

// The parabola of a taut string (handbooks of statics): half the span hangs a quarter as
// far; on the longest bridge half to one and a half layers, which is common practice.
func TestSag(t *testing.T) {
	s := Default()
	lo, hi := s.Sag(s.BridgeSpan)
	if math.Abs(lo-0.1) > 1e-12 || math.Abs(hi-0.3) > 1e-12 {
		t.Errorf("10 mm: %g to %g", lo, hi)
	}
	l, h := s.Sag(s.BridgeSpan / 2)
	if math.Abs(4*l-lo) > 1e-12 || math.Abs(4*h-hi) > 1e-12 {
		t.Errorf("5 mm: %g to %g of %g to %g", l, h, lo, hi)
	}
	s.BridgeSpan = 0
	if l, h = s.Sag(5); l != 0 || h != 0 {
		t.Error("no bridge prints: nothing can be said")
	}
}
