package climb

import (
	"math"
	"strings"
	"testing"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// By the sum of doc.md, by hand: at -0.05 mm and one part that plays, 1 - 0.3 - 0.2 - 0.4
// leaves 0.1; with two that play 0.1 less. The edges are 0.5 and 0.
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		depth   float64
		playing int
		want    string
		margin  float64
	}{
		{1.41, 1, "", 0},
		{1.39, 1, "warning", -0.01},
		{1, 1, "warning", -0.4},
		{0.89, 1, "fault", -0.51},
		{1.49, 2, "warning", -0.01},
		{1.51, 2, "", 0},
	} {
		k := sample.Case()
		k.Evidence.Climbs = []finding.Climb{{Inner: sample.Rod, Outer: sample.Gallery, Depth: c.depth, Play: 0.3, Playing: c.playing}}
		got := check(k)
		if c.want == "" {
			if len(got) != 0 {
				t.Errorf("%g mm: told %q", c.depth, got[0].Message)
			}
			continue
		}
		if len(got) != 1 || got[0].Severity.String() != c.want || math.Abs(got[0].Margin-c.margin) > 1e-9 {
			t.Errorf("%g mm: %+v, want a %s of %g", c.depth, got, c.want, c.margin)
		}
	}
	k := sample.Case()
	k.Evidence.Climbs = []finding.Climb{{Inner: sample.Rod, Outer: sample.Gallery, Depth: 1, Play: 0.3, Playing: 1}}
	f := check(k)[0]
	if !strings.Contains(f.Message, "key rod stands 1.00 mm deep in its track in gallery") || !strings.Contains(f.Message, "0.10 mm is left") || !strings.Contains(f.Change, "0.40 mm deeper") {
		t.Errorf("%q %q", f.Message, f.Change)
	}
}

// Nothing asked below the drawn size: nothing lost by printing loose.
func TestTightOnly(t *testing.T) {
	k := sample.Case()
	k.Result.Asked = [2]float64{0.01, 0.05}
	k.Evidence.Climbs = []finding.Climb{{Depth: 1.21, Play: 0.3, Playing: 1}}
	if got := check(k); len(got) != 0 {
		t.Errorf("%q", got[0].Message)
	}
}
