package stack

import (
	_ "embed"
	"fmt"
	"math"

	chains "feint/internal/stack"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

const name = "stack"

// Rule finds chains of dimensions that may leave their limits.
func Rule() finding.Rule {
	return finding.Rule{Name: name, Title: "tolerances add up beyond what a chain may have", Doc: doc, Check: check}
}

// margin is how far the worst case of a chain stays within its nearer limit, mm.
func margin(c *chains.Chain, r *chains.Result) float64 {
	return min(r.Worst.Lo-c.Lo, c.Hi-r.Worst.Hi)
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	for i := range c.Mechanism.Chains {
		k := &c.Mechanism.Chains[i]
		r, err := k.Solve(0, 0)
		if err != nil { // the design language refuses such a chain
			continue
		}
		f := finding.Finding{Rule: name, Of: k.Name, Margin: margin(k, &r), Unit: "mm"}
		switch r.Within {
		case chains.Unasked, chains.Always:
			continue
		case chains.Usually:
			f.Severity = finding.Note
		case chains.Sometimes:
			f.Severity = finding.Warning
		case chains.Never:
			f.Severity = finding.Fault
		}
		f.Message = fmt.Sprintf("The chain %s comes to %s at worst and to %s by the root of squares; it is to keep %s. %s",
			wording.Quoted(k.Name), span(r.Worst), span(r.Root), limits(k), most(k, &r))
		f.Change = change(k, &r)
		out = append(out, f)
	}
	return out
}

func span(r chains.Range) string {
	return wording.Number(r.Lo, 2) + " to " + wording.Length(r.Hi)
}

func limits(k *chains.Chain) string {
	switch {
	case math.IsInf(k.Lo, -1):
		return "at most " + wording.Length(k.Hi)
	case math.IsInf(k.Hi, 1):
		return "at least " + wording.Length(k.Lo)
	}
	return span(chains.Range{Lo: k.Lo, Hi: k.Hi})
}

// most says who contributes most.
func most(k *chains.Chain, r *chains.Result) string {
	if len(r.Shares) == 0 || r.Shares[0].Worst == 0 {
		return "None of its dimensions has a tolerance."
	}
	s := &r.Shares[0]
	return fmt.Sprintf("%s contributes most: %s %% of the spread, %s %% of the worst case.", dimName(k, s.Dim), wording.Number(100*s.Variance, 0), wording.Number(100*s.Worst, 0))
}

func dimName(k *chains.Chain, dim int) string {
	if n := k.Dims[dim].Name; n != "" {
		return wording.Quoted(n)
	}
	return fmt.Sprintf("Dimension %d", dim+1)
}

// change says what to do for the worst case to stay within the limits: by moving the
// middle where that is enough, by tolerance where not.
func change(k *chains.Chain, r *chains.Result) string {
	over, wide := r.Worst.Hi-k.Hi, r.Worst.Hi-r.Worst.Lo-(k.Hi-k.Lo)
	under := k.Lo - r.Worst.Lo
	switch {
	case wide <= rounding && over > 0:
		return fmt.Sprintf("Take %s off the middle of the chain.", wording.Length(over))
	case wide <= rounding:
		return fmt.Sprintf("Add %s to the middle of the chain.", wording.Length(under))
	}
	s := &r.Shares[0]
	d := &k.Dims[s.Dim]
	out := fmt.Sprintf("The tolerances together are %s too wide for the limits, wherever the middle lies.", wording.Length(wide))
	if d.Plus+d.Minus >= wide {
		return out + fmt.Sprintf(" Take %s off that of %s and put the middle at %s.", wording.Length(wide), dimName(k, s.Dim), wording.Length((k.Lo+k.Hi)/2))
	}
	return out + fmt.Sprintf(" That of %s alone is not enough: widen the limits, or make two of the parts one.", dimName(k, s.Dim))
}

// rounding is what sums of decimal lengths may be off, mm.
const rounding = 1e-9
