package together

import (
	"math"
	"strings"
	"testing"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// Asked from -0.05 mm on: told only where both open it within the range and one does not.
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		alone, both float64
		told        bool
	}{{-0.1, -0.02, true}, {-0.051, -0.05, true}, {-0.1, -0.051, false}, {-0.04, -0.02, false}, {math.Inf(-1), math.Inf(-1), false}} {
		k := sample.Case()
		k.Evidence.Together = []finding.Together{{Step: 1, Parts: [2]int{sample.Rod, sample.Door}, Alone: c.alone, Both: c.both}}
		got := check(k)
		if (len(got) == 1) != c.told {
			t.Errorf("%+v: %+v", c, got)
			continue
		}
		if c.told && (math.Abs(got[0].Margin-(-0.05-c.both)) > 1e-9 || !strings.Contains(got[0].Message, "key rod and door ring pushed at once")) {
			t.Errorf("%+v", got[0])
		}
	}
}
