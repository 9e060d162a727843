package export

import (
	"fmt"
	"math"
	"strings"

	"feint/internal/calibrate"
	"feint/internal/verdict/wording"
)

// LearntFigure shows what readings tell of a printer, and what was learnt from them:
// every reading with its interval, the fitted growth, and the readings that may be slips.
func LearntFigure(r *calibrate.Result, readings []calibrate.Reading) (*Figure, error) {
	var b strings.Builder
	if err := r.Picture(&b, readings); err != nil {
		return nil, err
	}
	f := &Figure{ID: "learnt", Title: "Growth a surface by drawn size", SVG: b.String()}
	first := r.Rows()[0] // growth in plane, which matters most
	f.Words = strings.Join(append([]string{fmt.Sprintf("From %s of %s: %s %s a surface, with 95 %% from %s; held before: %s.",
		wording.Count(len(readings), "reading"), wording.Count(r.Prints, "print"), first.Name, first.Now, first.Interval, first.Before)}, r.Doubts()...), " ")
	est := FigureTable{Caption: "What was learnt", Heads: []string{"", "now", "95 % interval", "before"}}
	for _, k := range r.Rows() {
		est.Rows = append(est.Rows, []string{k.Name, k.Now, k.Interval, k.Before})
	}
	told := FigureTable{
		Caption: "The readings, each with the growth a surface that it tells by itself, mm",
		Heads:   []string{"Reading", "print", "kind", "drawn, mm", "read", "growth by itself", "as learnt", ""},
	}
	for _, k := range r.Told(readings) {
		slip := ""
		if k.Slip {
			slip = "may be a slip"
		}
		told.Rows = append(told.Rows, []string{k.Name, k.Print, k.Kind, wording.Number(k.Drawn, 2), k.Read, growthSpan(k.Lo, k.Hi), fmt.Sprintf("%+.3f", k.Fitted), slip})
	}
	f.Tables = []FigureTable{est, told}
	return f.whole(), nil
}

// growthSpan words an interval one of whose ends may lie beyond all.
func growthSpan(lo, hi float64) string {
	switch {
	case math.IsInf(lo, -1):
		return fmt.Sprintf("at most %+.3f", hi)
	case math.IsInf(hi, 1):
		return fmt.Sprintf("at least %+.3f", lo)
	default:
		return fmt.Sprintf("%+.3f to %+.3f", lo, hi)
	}
}
