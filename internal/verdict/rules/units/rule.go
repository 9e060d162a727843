package units

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Outside these sizes, mm, an assembly is more likely drawn in another unit than
// meant so. Common practice, no source.
const (
	Largest  = 1000
	Smallest = 1
)

// Rule tells of assemblies whose size hints at another unit.
func Rule() finding.Rule {
	return finding.Rule{Name: "units", Title: "the size hints at another unit", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if !c.Evidence.Known() {
		return nil
	}
	b := c.Evidence.Bounds
	x, y, z := b.Hi.X-b.Lo.X, b.Hi.Y-b.Lo.Y, b.Hi.Z-b.Lo.Z
	most := max(x, y, z)
	f := finding.Finding{Rule: "units", Severity: finding.Warning, Unit: "mm"}
	size := fmt.Sprintf("%s x %s x %s mm", short(x), short(y), short(z))
	switch {
	case most > Largest:
		f.Margin = Largest - most
		f.Message = fmt.Sprintf("The box measures %s: more than a metre. Were micrometres taken for mm?", size)
	case most < Smallest:
		f.Margin = most - Smallest
		f.Message = fmt.Sprintf("The box measures %s: less than a millimetre. Were metres (times 1000) or inches (times 25.4) taken for mm?", size)
	default:
		return nil
	}
	f.Change = "Give imported meshes their scale in the design file. Nothing has been changed."
	return []finding.Finding{f}
}

// short keeps three digits after the point for what is small.
func short(v float64) string {
	if v < 10 {
		return wording.Number(v, 3)
	}
	return wording.Number(v, 1)
}
