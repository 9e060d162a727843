package unheld

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestUnheld(t *testing.T) {
	k := sample.Case()
	k.Evidence.Play = []finding.Play{{Part: sample.Lamp, Side: 0.3}}
	if got := check(k); len(got) != 0 {
		t.Fatalf("held all round: %q", got[0].Message)
	}
	k.Evidence.Play[0].Unheld = []geom.Vec{{X: 0.6, Z: 0.8}, {Z: 1}, {X: -1}}
	got := check(k)
	if len(got) != 1 || got[0].Severity != finding.Warning || !strings.Contains(got[0].Message, "a push up or towards -x: it goes 2.00 mm") {
		t.Fatalf("%+v", got)
	}
	k.Evidence.Play[0].Unheld = []geom.Vec{{X: 0.6, Z: 0.8}}
	if got = check(k); len(got) != 1 || !strings.Contains(got[0].Message, "towards (0.60, 0.00, 0.80)") {
		t.Errorf("%+v", got)
	}
}
