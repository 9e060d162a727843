package backlash

import (
	"math"
	"strings"
	"testing"

	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// A half window of 3 deg at a radius of 10 mm: 0.1 mm sideways is 0.573 deg (0.01 rad).
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		turn, side float64 // deg, mm
		want       string
		margin     float64 // deg
	}{{0, 0.52, "", 0}, {0, 0.53, "note", 3 - 3.0367}, {2.4, 0.1, "", 0}, {2.5, 0.1, "note", -0.073}, {3.1, 0, "note", -0.1}} {
		k := sample.Case()
		k.Evidence.Gates = []finding.Gate{{Slides: sample.Rod, Turns: sample.Gallery, Travel: sample.GalleryTurn, At: units.Rad(120), Half: units.Rad(3), Radius: 10, Side: c.side, Turn: units.Rad(c.turn)}}
		got := check(k)
		if c.want == "" {
			if len(got) != 0 {
				t.Errorf("%+v: %q", c, got[0].Message)
			}
			continue
		}
		if len(got) != 1 || got[0].Severity.String() != c.want || math.Abs(got[0].Margin-c.margin) > 1e-3 || !strings.Contains(got[0].Message, "gallery at 120.0 deg") {
			t.Errorf("%+v: %+v", c, got)
		}
	}
}

// Of several gates of one part the worst is told, with the number of the others.
func TestWorst(t *testing.T) {
	k := sample.Case()
	for _, half := range []float64{0.02, 0.01, 0.5, 0.01} {
		k.Evidence.Gates = append(k.Evidence.Gates, finding.Gate{Slides: sample.Rod, Turns: sample.Gallery, Travel: sample.GalleryTurn, Half: half, Radius: 10, Side: 1})
	}
	got := check(k)
	if len(got) != 1 || math.Abs(got[0].Margin-units.Deg(0.01-0.1)) > 1e-9 || !strings.Contains(got[0].Message, "So at 2 more gates.") {
		t.Errorf("%+v", got)
	}
}
