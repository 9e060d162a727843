package trap

import (
	_ "embed"
	"fmt"
	"strings"

	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds situations from which the goal cannot be reached any more.
func Rule() finding.Rule {
	return finding.Rule{Name: "trap", Title: "a situation without a way to the goal", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	h := c.Evidence.Hands
	// Of a box that never opens way-blocked tells: every situation would be a trap.
	if h == nil || h.Drawn.Opens != motion.Yes {
		return nil
	}
	f := finding.Finding{Rule: "trap"}
	switch h.Trap.Exists {
	case motion.Yes:
		f.Severity = finding.Warning
		f.Message = "The box can be brought into a situation from which it no longer opens."
		f.Change = "Let every part that falls or is pushed be brought back, or bar the move into the trap."
		if w := h.Trap.In; w != nil {
			into(c, w, &f)
		}
	case motion.Undecided:
		f.Severity = finding.Note
		f.Message = "Whether the box can be brought into a situation from which it no longer opens is not known."
		f.Change = "Nothing, or a finer resolution."
	case motion.No:
		return nil
	}
	return []finding.Finding{f}
}

// into tells the way into the trap.
func into(c *finding.Case, w *hands.Way, f *finding.Finding) {
	if len(w.Moves) == 0 {
		f.Message = "The box no longer opens from where its parts come to rest at the start."
		f.Where.Config = w.Start
		return
	}
	last := &w.Moves[len(w.Moves)-1]
	f.Message = fmt.Sprintf("After %s the box no longer opens. The last is: %s.", wording.Count(len(w.Moves), "move"), told(c, last))
	f.Where.Config = last.After
	if last.Part >= 0 && last.Kind == hands.Hand {
		f.Where.Parts = append(f.Where.Parts, last.Part)
	}
	if gone := moved(c, last); len(gone) > 0 {
		var names []string
		for _, p := range gone {
			names = append(names, wording.Part(c.Mechanism, p))
		}
		f.Where.Parts = append(f.Where.Parts, gone...)
		f.Change = fmt.Sprintf("Let %s be brought back from there (a slope for another attitude, a pin that picks it up, an opening for a finger), or bar that move.",
			wording.List(names))
	}
}

// told is a move in words.
func told(c *finding.Case, k *hands.Move) string {
	words := strings.Join(wording.Move(c.Mechanism, k), "; ")
	if k.Kind == hands.Hand {
		return wording.Part(c.Mechanism, k.Part) + ": " + words
	}
	return words
}

// moved lists the parts that a move moved beside the one in hand, in the order
// in which they went.
func moved(c *finding.Case, k *hands.Move) []int {
	var out []int
	seen := map[int]bool{k.Part: k.Kind == hands.Hand}
	note := func(es []hands.Effect) {
		for _, e := range es {
			if p := c.Mechanism.Travels[e.Travel].Part; !seen[p] {
				seen[p] = true
				out = append(out, p)
			}
		}
	}
	for i := range k.Strokes {
		note(k.Strokes[i].Effects)
	}
	note(k.Effects)
	return out
}
