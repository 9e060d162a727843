package wording

import (
	"math"
	"strings"

	"feint/internal/mechanism"
)

// same is how near a param must be to a value to be taken for its origin: what rounding
// of a drawing leaves.
const same = 1e-9

// SetBy names the params that have the value, which may be where it comes from: ` (perhaps
// the param "lead")`; empty where there is none. A value of 0 has too many origins.
func SetBy(m *mechanism.Mechanism, value float64, unit string) string {
	var names []string
	for i := range m.Params {
		p := &m.Params[i]
		if value != 0 && p.Unit == unit && math.Abs(math.Abs(p.Value)-math.Abs(value)) <= same*max(1, math.Abs(value)) {
			names = append(names, Quoted(p.Name))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return " (perhaps the param " + strings.Join(names, " or ") + ")"
}
