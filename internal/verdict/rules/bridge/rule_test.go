package bridge

import (
	"testing"

	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestBridge(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	for _, c := range []struct {
		span  float64
		found int
		warn  bool
	}{{7.9, 0, false}, {8.1, 1, false}, {10, 1, false}, {10.1, 1, true}} {
		s.Reports[sample.Tower] = &printable.Report{Given: printable.WayUp{Patches: []printable.Patch{{Bridge: &printable.Bridge{Span: c.span}}}}}
		got := check(k)
		if len(got) != c.found || (c.found > 0 && (got[0].Severity == finding.Warning) != c.warn) {
			t.Errorf("%g mm: %+v", c.span, got)
		}
	}
}
