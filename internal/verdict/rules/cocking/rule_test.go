package cocking

import (
	"math"
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/survey"
	"feint/internal/verdict/sample"
)

func pushed(offset, wide float64) *survey.Survey {
	return &survey.Survey{Cocks: []survey.Cock{{
		Part: sample.Rod, Travel: sample.RodSlide, Length: 10, Wide: wide, Offset: offset, Friction: forces.Interval{Lo: 0.125, Hi: 0.25},
	}}}
}

// At 0.25 a slide jams from twice its guided length on (the 2:1 rule of makers of plain
// linear bearings: igus, design tips for linear bearings), at half of that from four
// times on.
func TestTwoToOne(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	for _, c := range []struct {
		offset, wide float64
		want         string
		margin       float64
	}{{19.9, 20, "", 0}, {20.1, 20, "note", -0.1}, {39.9, 20, "note", -19.9}, {40.1, 20, "warning", -20.1}, {40.1, 100, "", 0}} {
		k.Evidence.Forces = pushed(c.offset, c.wide)
		got := check(k)
		if c.want == "" {
			if len(got) != 0 {
				t.Errorf("%g mm off, %g wide: told %q", c.offset, c.wide, got[0].Message)
			}
			continue
		}
		if len(got) != 1 || got[0].Severity.String() != c.want || math.Abs(got[0].Margin-c.margin) > 1e-9 {
			t.Errorf("%g mm off: %+v, want a %s of %g", c.offset, got, c.want, c.margin)
		}
	}
	k.Evidence.Forces = pushed(24, 20)
	// 24 mm at 0.25 want 12 mm of guide
	if got := check(k)[0].Change; !strings.HasPrefix(got, `Guide it over 12.0 mm, or have it pushed within 20.0 mm`) {
		t.Errorf("advice: %s", got)
	}
}
