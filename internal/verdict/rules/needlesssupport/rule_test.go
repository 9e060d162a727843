package needlesssupport

import (
	"strings"
	"testing"

	"feint/internal/printable"
	"feint/internal/units"
	"feint/internal/verdict/sample"
)

func TestNeedless(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	p := printable.Patch{Supported: true, Support: 500, Angle: units.Rad(59)}
	r := &printable.Report{Given: printable.WayUp{Support: 1000, Estimate: printable.Estimate{SupportGrams: 1, SupportMinutes: 8}, Patches: []printable.Patch{p}}}
	s.Reports[sample.Lamp] = r
	got := check(k)
	if len(got) != 1 || !strings.Contains(got[0].Message, "14 degrees too steep") || !strings.Contains(got[0].Message, "0.5 g and 4 minutes") {
		t.Errorf("59 degrees: %+v", got)
	}
	r.Given.Patches[0].Angle = units.Rad(61)
	if got := check(k); len(got) != 0 {
		t.Errorf("61 degrees: %q", got[0].Message)
	}
	r.Given.Patches[0].Angle, r.Given.Patches[0].Support = units.Rad(59), 99
	if got := check(k); len(got) != 0 {
		t.Errorf("0.099 g: %q", got[0].Message)
	}
}
