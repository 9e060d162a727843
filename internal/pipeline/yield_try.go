package pipeline

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"strconv"

	"feint/internal/design"
	"feint/internal/mechanism"
	"feint/internal/yield"
)

// ParamTry is what became of the prints when one param was changed.
type ParamTry struct {
	Param string
	From  float64
	To    float64
	Works yield.Share
	Won   float64 // the share of prints gained, negative if lost
	Why   string  // why it could not be tried, if it could not
}

// tryPrints is how many prints a change is tried with, the same prints for every
// change, so that their differences are those of the change.
const tryPrints = 500

// tryParams changes every param up and down by a step, one at a time, and judges
// the same prints again. Params whose unit is not a length or an angle are whole
// numbers, names of variants and the like, and are left alone.
//
// Before and after are learnt alike, from prints alone, so that what stays undecided
// is no difference.
func tryParams(ctx context.Context, path string, m *mechanism.Mechanism, o Options, y YieldOptions) ([]ParamTry, error) {
	y.Count, y.Try, y.alone = min(y.Count, tryPrints), false, true
	now, err := Yield(ctx, path, o, y)
	if err != nil {
		return nil, err
	}
	base := now.Report.Works
	var tries []ParamTry
	for i := range m.Params {
		p := &m.Params[i]
		for _, to := range steps(p) {
			t := ParamTry{Param: p.Name, From: p.Value, To: to}
			at := o
			at.Set = append(slices.DeleteFunc(slices.Clone(o.Set), func(s design.Setting) bool { return s.Name == p.Name }),
				design.Setting{Name: p.Name, Value: strconv.FormatFloat(to, 'g', -1, 64)})
			out, err := Yield(ctx, path, at, y)
			switch {
			case err != nil && ctx.Err() != nil:
				return nil, ctx.Err()
			case errors.Is(err, context.Canceled):
				return nil, err
			case err != nil:
				t.Why = err.Error() // the design refuses this value
			default:
				t.Works = out.Report.Works
				t.Won = t.Works.Share - base.Share
			}
			tries = append(tries, t)
		}
	}
	slices.SortStableFunc(tries, func(a, b ParamTry) int { return cmp.Compare(b.Won, a.Won) })
	return tries, nil
}

// steps are the values to try for a param: 0.05 mm for lengths below a millimetre
// (a quarter of a usual gap), else a twentieth of it; never beyond its range.
func steps(p *mechanism.Param) []float64 {
	if p.Unit != "mm" && p.Unit != "deg" {
		return nil
	}
	d := max(0.05, math.Abs(p.Value)/20)
	if math.Abs(p.Value) < 1 {
		d = 0.05
	}
	var out []float64
	for _, v := range []float64{p.Value + d, p.Value - d} {
		v = math.Round(v*1e6) / 1e6
		if v = max(p.Min, min(p.Max, v)); v != p.Value {
			out = append(out, v)
		}
	}
	return out
}
