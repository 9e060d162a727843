package narrowwindow

import (
	"strings"
	"testing"

	"feint/internal/motion"
	"feint/internal/verdict/sample"
)

func TestWindow(t *testing.T) {
	for _, c := range []struct {
		name            string
		leak, bind      *motion.Limit
		margin          float64
		message, advice string
	}{
		{"just wide enough", &motion.Limit{Lo: -0.06, Hi: -0.05}, &motion.Limit{Lo: 0.05, Hi: 0.06}, 0, "", ""},
		// -0.02..0.12 is 0.14 wide for 0.10, its middle 0.05 too high: 0.10 per side.
		{"off its place", &motion.Limit{Lo: -0.03, Hi: -0.02}, &motion.Limit{Lo: 0.12, Hi: 0.13}, -0.03, "from -0.02 to +0.12 mm", "Take 0.10 mm off the gap per side (0.20 mm across)"},
		{"off the other way", &motion.Limit{Lo: -0.13, Hi: -0.12}, &motion.Limit{Lo: 0.02, Hi: 0.03}, -0.03, "from -0.12 to +0.02 mm", "Add 0.10 mm to the gap per side (0.20 mm across)"},
		{"too narrow", &motion.Limit{Lo: -0.03, Hi: -0.02}, &motion.Limit{Lo: 0.04, Hi: 0.05}, -0.03, "", "0.06 mm wide and 0.10 mm are asked"},
		{"none", &motion.Limit{Lo: 0.01, Hi: 0.02}, &motion.Limit{Lo: -0.02, Hi: -0.01}, -0.07, "no size at which", "0.00 mm wide"},
		{"never leaks", nil, &motion.Limit{Lo: 0.01, Hi: 0.02}, 0, "", ""},
	} {
		k := sample.Case()
		k.Result.Fit.Leak, k.Result.Fit.Bind = c.leak, c.bind
		got := check(k)
		if c.advice == "" {
			if len(got) > 0 {
				t.Errorf("%s: told %q", c.name, got[0].Message)
			}
			continue
		}
		if len(got) != 1 {
			t.Fatalf("%s: got %+v", c.name, got)
		}
		f := got[0]
		if d := f.Margin - c.margin; d > 1e-9 || d < -1e-9 || !strings.Contains(f.Message, c.message) || !strings.Contains(f.Change, c.advice) {
			t.Errorf("%s: got margin %g, %q, %q", c.name, f.Margin, f.Message, f.Change)
		}
	}
}
