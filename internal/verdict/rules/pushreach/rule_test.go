package pushreach

import (
	"strings"
	"testing"

	"feint/internal/hands"
	"feint/internal/verdict/sample"
)

func TestShort(t *testing.T) {
	k := sample.Case()
	if got := check(k); len(got) != 0 {
		t.Fatalf("without what hands do: %+v", got)
	}
	p := hands.Pusher{Travel: sample.RodSlide, Pushed: sample.LampLift, Up: true, PushedUp: true, Touch: 3, Dead: 3, End: 9, Gets: 6, Needs: 7.5, Short: 1.5}
	k.Evidence.Hands = &hands.Result{Pushers: []hands.Pusher{p}}
	got := check(k)
	if len(got) != 1 || got[0].Margin != -1.5 || got[0].Unit != "mm" {
		t.Fatalf("got %+v", got)
	}
	for _, w := range []string{"after 3.00 mm of dead travel", "to 6.00 mm", "to 7.50 mm"} {
		if !strings.Contains(got[0].Message, w) {
			t.Errorf("message %q lacks %q", got[0].Message, w)
		}
	}
	if !strings.Contains(got[0].Change, "1.50 mm more reach") {
		t.Errorf("change %q", got[0].Change)
	}
	// one that just reaches, and another that takes the part farther
	p.Gets, p.Short = 7.5, 0
	k.Evidence.Hands.Pushers = append(k.Evidence.Hands.Pushers, p)
	if got = check(k); len(got) != 0 {
		t.Errorf("another pusher reaches: %+v", got)
	}
}
