package scale

import (
	"strings"
	"testing"

	"feint/internal/mating"
	"feint/internal/motion"
	"feint/internal/verdict/sample"
)

// Bind at +0.1: a growth of 0.05 at half the size counts as 0.1, so 50 per cent just
// works. Bind at 0.052: 0.05/0.052 is 96.2 per cent.
func TestScale(t *testing.T) {
	k := sample.Case()
	if got := check(k); len(got) != 0 {
		t.Fatalf("from 63 per cent: %q", got[0].Message)
	}
	k.Result.Fit.Bind = &motion.Limit{Lo: 0.052, Hi: 0.06}
	got := check(k)
	if len(got) != 1 || !strings.Contains(got[0].Message, "from 97 per cent upwards") {
		t.Errorf("got %+v", got)
	}
	k.Result.Fit.Bind = &motion.Limit{Lo: 0.053, Hi: 0.06} // 94.3 per cent
	if got := check(k); len(got) != 0 {
		t.Errorf("94.3 per cent: %q", got[0].Message)
	}
	// a magnet 6 mm wide with 0.1 mm a side: 1 - 0.2/6.2 and 1 + 0.3/6.2
	k = sample.Fitted(mating.Fit{Gap: 0.1, Wide: 6.2})
	if got := check(k); len(got) != 0 {
		t.Errorf("all printed: %q", got[0].Message)
	}
	k.Mechanism.Parts[sample.Rod].Material.Bought = true
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Message, "from 97 per cent to 104 per cent") {
		t.Errorf("with a magnet: %+v", got)
	}
}
