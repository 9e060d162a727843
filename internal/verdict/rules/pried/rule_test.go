package pried

import (
	"math"
	"strings"
	"testing"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// At -0.05 mm surfaces recede by 0.1; the edges are 0.5 and 0.
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		left   float64
		want   string
		margin float64
	}{{0.61, "", 0}, {0.59, "warning", -0.01}, {0.11, "warning", -0.49}, {0.1, "fault", -0.5}, {-0.2, "fault", -0.8}} {
		k := sample.Case()
		k.Evidence.Pries = []finding.Pry{{Lid: sample.Lamp, Latch: sample.Door, Overlap: 0.8, Left: c.left, Angle: 0.02}}
		got := check(k)
		if c.want == "" {
			if len(got) != 0 {
				t.Errorf("%g: %q", c.left, got[0].Message)
			}
			continue
		}
		if len(got) != 1 || got[0].Severity.String() != c.want || math.Abs(got[0].Margin-c.margin) > 1e-9 || !strings.Contains(got[0].Message, "lamp is held by door ring with 0.80 mm") {
			t.Errorf("%g: %+v, want a %s of %g", c.left, got, c.want, c.margin)
		}
	}
}
