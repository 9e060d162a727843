package climb

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

const (
	// Least is what is to be left of a part's hold in its track, mm (common practice, no
	// source).
	Least = 0.5
	// Rounding is what a printed edge lacks, mm: half the bead of a nozzle of 0.4 mm
	// (common practice, no source).
	Rounding = 0.2
)

// Rule finds parts that may ride over the wall of their track.
func Rule() finding.Rule {
	return finding.Rule{Name: "climb", Title: "a loose part rides over the wall of its track", Doc: doc, Check: check}
}

// Left is what is left of a part's hold at a growth, mm: its depth less play, what both
// surfaces at the edge and both of each guide recede by, and two roundings.
func Left(k *finding.Climb, growth float64) float64 {
	return k.Depth - k.Play + 2*growth*float64(1+k.Playing) - 2*Rounding
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	loose := min(0, c.Result.Asked[0])
	for i := range c.Evidence.Climbs {
		k := &c.Evidence.Climbs[i]
		left := Left(k, loose)
		if left >= Least {
			continue
		}
		at := k.At
		inner, outer := wording.Part(c.Mechanism, k.Inner), wording.Part(c.Mechanism, k.Outer)
		f := finding.Finding{
			Rule: "climb", Severity: finding.Warning, Where: finding.Where{Parts: []int{k.Inner, k.Outer}, At: &at},
			Margin: left - Least, Unit: "mm",
			Message: fmt.Sprintf("%s stands %s deep in its track in %s at %s. Its play takes %s of that, printing loose (%s) %s, the rounding of two edges %s: %s is left.",
				inner, wording.Length(k.Depth), outer, wording.Place(at), wording.Length(k.Play), wording.Growth(loose),
				wording.Length(-2*loose*float64(1+k.Playing)), wording.Length(2*Rounding), wording.Length(left)),
			Change: fmt.Sprintf("Let it stand %s deeper, track and all, or take as much from the play of its guide.", wording.Length(Least-left)),
		}
		if left <= 0 {
			f.Severity = finding.Fault
			f.Message += " It may ride over the wall."
		}
		out = append(out, f)
	}
	return out
}
