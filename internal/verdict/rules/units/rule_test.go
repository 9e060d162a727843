package units

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/verdict/sample"
)

func TestSizes(t *testing.T) {
	for _, c := range []struct {
		size float64
		want string
	}{{1000, ""}, {1000.1, "more than a metre"}, {1, ""}, {0.999, "inches (times 25.4)"}} {
		k := sample.Case()
		k.Evidence.Bounds = geom.Box{Hi: geom.Vec{X: c.size / 2, Y: c.size / 3, Z: c.size}}
		got := check(k)
		switch {
		case c.want == "" && len(got) > 0:
			t.Errorf("%g mm: told %q", c.size, got[0].Message)
		case c.want != "" && (len(got) != 1 || !strings.Contains(got[0].Message, c.want)):
			t.Errorf("%g mm: got %+v", c.size, got)
		}
	}
	k := sample.Case()
	k.Evidence.Bounds = geom.Box{}
	if got := check(k); len(got) != 0 {
		t.Errorf("unknown bounds: told %q", got[0].Message)
	}
}
