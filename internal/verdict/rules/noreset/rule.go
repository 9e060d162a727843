package noreset

import (
	_ "embed"

	"feint/internal/motion"
	"feint/internal/verdict/finding"
)

//go:embed doc.md
var doc string

// Rule finds a box that cannot be put back.
func Rule() finding.Rule {
	return finding.Rule{Name: "no-reset", Title: "the box cannot be put back", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Result.Drawn.Opens != motion.Yes || c.Result.Drawn.Goal == motion.Yes {
		return nil
	}
	f := finding.Finding{Rule: "no-reset"}
	switch c.Result.Reset.Possible {
	case motion.No:
		f.Severity = finding.Warning
		f.Message = "Once open, no way leads back to the start."
		f.Change = "Leave a way to bring every part back by hand, or say in the box's note what is needed to reset it."
	case motion.Undecided:
		f.Severity = finding.Note
		f.Message = "Whether the box can be put back to its start is not known."
		f.Change = "Nothing, or a finer resolution."
	case motion.Yes:
		return nil
	}
	return []finding.Finding{f}
}
