package export

import (
	"strings"
	"testing"
)

// TestStepNearItsLimit: a step of which is not known whether it can be left out as drawn
// says how near its limit is where that lies about drawn size, and only there.
func TestStepNearItsLimit(t *testing.T) {
	no, mid := false, -0.006
	limit := func(lo, hi float64) *LimitInfo { return &LimitInfo{Lo: &lo, Hi: &hi} }
	for _, c := range []struct {
		s    StepInfo
		near string
	}{
		{StepInfo{Bypass: &mid, BypassLimit: limit(-0.016, 0.004)}, "within 0.016 mm a surface"},
		{StepInfo{Bypass: &mid, BypassLimit: limit(-0.016, -0.004)}, ""},
		{StepInfo{Bypass: &mid, BypassLimit: limit(-0.016, 0.004), Unavoidable: &no}, ""},
		{StepInfo{}, ""},
	} {
		got := stepWords(&c.s, -0.05)
		if (c.near != "") != strings.Contains(got, "so near is its limit") || !strings.Contains(got, c.near) {
			t.Errorf("%q", got)
		}
	}
}
