package noassembly

import (
	"strings"
	"testing"

	"feint/internal/hands"
	"feint/internal/verdict/finding"
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
	if len(got) != 1 || !strings.Contains(got[0].Message, "lamp (straight, it meets tower and door ring)") {
		t.Errorf("got %+v", got)
	}
	if got[0].Severity != finding.Note {
		t.Error("nothing is proved, and it warns")
	}
	for kept, want := range map[hands.Kept]finding.Severity{hands.Upright: finding.Note, hands.Anyhow: finding.Warning} {
		k.Evidence.Assembly.Stuck = []hands.Jam{{Part: sample.Lamp, By: []int{sample.Tower}, Kept: kept}}
		if got := check(k); len(got) != 1 || got[0].Severity != want || !strings.Contains(got[0].Message, "lamp cannot get into or out of tower") {
			t.Errorf("%v: %+v", kept, got)
		}
	}
}
