package noassembly

import (
	"strings"
	"testing"

	"feint/internal/hands"
	"feint/internal/verdict/sample"
)

func TestStuck(t *testing.T) {
	k := sample.Case()
	k.Evidence.Assembly = &hands.Assembly{Order: []hands.Entry{{Part: sample.Rod}}}
	if got := check(k); len(got) != 0 {
		t.Fatalf("everything goes in: %+v", got)
	}
	k.Evidence.Assembly.Stuck = []hands.Jam{{Part: sample.Lamp, By: []int{sample.Tower, sample.Door}}}
	got := check(k)
	if len(got) != 1 || !strings.Contains(got[0].Message, "lamp by tower and door ring") {
		t.Errorf("got %+v", got)
	}
}
