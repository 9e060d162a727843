package narrowwindow

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds a fit window that does not hold the asked range.
func Rule() finding.Rule {
	return finding.Rule{Name: "narrow-window", Title: "the fit window is narrower than the asked range", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	fit, asked := c.Result.Fit, c.Result.Asked
	if fit.Leak == nil || fit.Bind == nil || !fit.Leak.Seen() || fit.Bind.Open() || fit.Leak.Open() || !fit.Bind.Seen() {
		return nil // a side without a limit is not narrow; no window at all is told by others
	}
	// The sure window: from the most the leak can be to the least the bind can be.
	lo, hi := fit.Leak.Hi, fit.Bind.Lo
	loose, tight := asked[0]-lo, hi-asked[1]
	if loose >= 0 && tight >= 0 {
		return nil
	}
	f := finding.Finding{
		Rule: "narrow-window", Severity: finding.Fault,
		Margin: min(loose, tight), Unit: "mm a surface",
	}
	if t := fit.Tightest; t.A != t.B {
		f.Where = finding.Where{Parts: []int{t.A, t.B}, Config: t.At}
	}
	width, wanted := hi-lo, asked[1]-asked[0]
	f.Message = fmt.Sprintf("The box works as meant from %s to %s a surface; asked were %s to %s.",
		wording.GrowthNumber(lo), wording.Growth(hi), wording.GrowthNumber(asked[0]), wording.Growth(asked[1]))
	if width <= 0 {
		f.Message = fmt.Sprintf("There is no size at which the box works as meant: it leaks up to %s and binds from %s a surface.",
			wording.GrowthNumber(lo), wording.Growth(hi))
	}
	f.Change = change(lo, hi, width, wanted, asked)
	return []finding.Finding{f}
}

// change tells a window that is only off its place from one that is too small.
func change(lo, hi, width, wanted float64, asked [2]float64) string {
	if width < wanted {
		return fmt.Sprintf("The window is %s wide and %s are asked: the leak and the bind must move apart, by gates further apart or a deeper engagement; shifting the gap alone only trades one for the other.",
			wording.Length(max(0, width)), wording.Length(wanted))
	}
	shift := (lo+hi)/2 - (asked[0]+asked[1])/2
	more := "Take %s off the gap per side (%s across) everywhere: the window is wide enough and lies off its place."
	if shift < 0 {
		more = "Add %s to the gap per side (%s across) everywhere: the window is wide enough and lies off its place."
		shift = -shift
	}
	return fmt.Sprintf(more, wording.Length(2*shift), wording.Length(4*shift))
}
