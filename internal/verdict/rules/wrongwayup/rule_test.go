package wrongwayup

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/verdict/sample"
)

func TestTurned(t *testing.T) {
	k := sample.Case()
	k.Evidence.Assembly = &hands.Assembly{Order: []hands.Entry{{Part: sample.Rod}}}
	if got := check(k); len(got) != 0 {
		t.Fatalf("it goes in one way only: %+v", got)
	}
	k.Evidence.Assembly.Order[0].Turned = []geom.Vec{{Y: 1}, {Z: 1}}
	got := check(k)
	if len(got) != 1 || !strings.Contains(got[0].Message, "half a turn about y and z") {
		t.Errorf("got %+v", got)
	}
}
