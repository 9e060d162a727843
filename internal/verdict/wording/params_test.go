package wording

import (
	"testing"

	"feint/internal/mechanism"
)

// A param is named by its value and unit; 0 names none.
func TestSetBy(t *testing.T) {
	m := &mechanism.Mechanism{Params: []mechanism.Param{
		{Name: "lead", Value: 0.1 + 0.2, Unit: "mm"}, {Name: "turns", Value: 0.3}, {Name: "gap", Value: 0.3, Unit: "mm"}, {Name: "none", Unit: "mm"},
	}}
	for v, want := range map[float64]string{0.3: ` (perhaps the param "lead" or "gap")`, -0.3: ` (perhaps the param "lead" or "gap")`, 0.31: "", 0: ""} {
		if got := SetBy(m, v, "mm"); got != want {
			t.Errorf("%g: %q", v, got)
		}
	}
}
