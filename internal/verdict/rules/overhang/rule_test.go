package overhang

import (
	"strings"
	"testing"

	"feint/internal/printable"
	"feint/internal/verdict/sample"
)

func TestOverhang(t *testing.T) {
	k := sample.Case()
	if len(check(k)) != 0 {
		t.Error("nobody looked")
	}
	s := sample.Survey()
	k.Evidence.Printing = s
	r := &printable.Report{Best: -1}
	r.Given.Patches = []printable.Patch{
		{Area: 30, Angle: 0.9, Supported: false},                                      // a narrow ledge
		{Area: 80, Angle: 1.57, Supported: true, Bridge: &printable.Bridge{Span: 30}}, // told by the rule bridge
	}
	s.Reports[sample.Rod] = r
	if got := check(k); len(got) != 0 {
		t.Fatalf("a ledge and a bridge: %q", got[0].Message)
	}
	r.Given.Patches[0].Supported, r.Given.Patches[0].Support = true, 120
	got := check(k)
	if len(got) != 1 || !strings.Contains(got[0].Message, "30 mm2 of faces steeper than 45 degrees in 1 place, up to 52") || got[0].Margin > -6 || got[0].Margin < -7 {
		t.Errorf("got %+v", got)
	}
	r.Best, r.Ways = 0, []printable.WayUp{{Name: "+z down", Support: 7}}
	if got := check(k); !strings.Contains(got[0].Change, "with +z down (7 mm3") {
		t.Errorf("got %q", got[0].Change)
	}
}
