package proud

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds magnets that stand out of their pockets or do not go in.
func Rule() finding.Rule {
	return finding.Rule{Name: "proud", Title: "a magnet stands out of its pocket, or does not go in", Doc: doc, Check: check}
}

// lack is a pocket that falls short, and by how much at the tight end, mm.
type lack struct {
	seat *survey.Seated
	room float64 // negative
	more int     // magnets of the same part that fall short too
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil || c.Result == nil {
		return nil
	}
	s, g := c.Evidence.Forces, max(0, c.Result.Asked[1])
	var out []finding.Finding
	for part := range c.Mechanism.Parts {
		depth := least(s, part, func(k *survey.Seated) float64 { return deep(s, k) - g })
		if depth.seat != nil {
			out = append(out, shallow(c, part, &depth, g))
		}
		width := least(s, part, func(k *survey.Seated) float64 { return k.Across - 2*g - s.Magnets[k.Magnet].Magnet.D })
		if width.seat != nil {
			out = append(out, narrow(c, part, &width, g))
		}
	}
	return out
}

// least is the seat of a part with the least room, if that is below 0.
func least(s *survey.Survey, part int, room func(*survey.Seated) float64) lack {
	var out lack
	for i := range s.Seats {
		k := &s.Seats[i]
		r := room(k)
		if s.Magnets[k.Magnet].Part != part || r >= -rounding {
			continue
		}
		if out.seat != nil {
			out.more++
		}
		if r < out.room {
			out.seat, out.room = k, r
		}
	}
	return out
}

// rounding is what the grid of the meshes and the facets of a bore may take off a pocket
// that is drawn just right, mm.
const rounding = 1e-3

// deep is how far the magnet lies below the face round its opening, or has room under its
// roof, as drawn; infinite where neither is known.
func deep(s *survey.Survey, k *survey.Seated) float64 {
	h := s.Magnets[k.Magnet].Magnet.L
	if d, _, ok := k.Depth(); ok {
		return d - h
	}
	if d, ok := k.Height(); ok {
		return d - h
	}
	return math.Inf(1)
}

func shallow(c *finding.Case, part int, l *lack, g float64) finding.Finding {
	p := &c.Evidence.Forces.Magnets[l.seat.Magnet]
	f, height := found(c, part, l), p.Magnet.L
	f.Of = "depth"
	depth := deep(c.Evidence.Forces, l.seat) + height
	out, when := height-depth, "as drawn"
	if out <= 0 {
		out, when, f.Severity = -l.room, "at "+wording.Growth(g)+" a surface", finding.Note
	}
	what := "out of its pocket"
	if _, _, opens := l.seat.Depth(); !opens {
		what = "above its pocket where the roof is to be printed over it"
	}
	f.Message = fmt.Sprintf("The magnet %s of %s stands %s mm %s %s: the pocket is %s mm deep, the magnet %s mm high.%s",
		wording.Quoted(p.Name), wording.Part(c.Mechanism, part), wording.Number(out, 2), what, when, wording.Number(depth, 2), wording.Number(height, 2), others(l.more))
	f.Change = fmt.Sprintf("Make the pocket %s mm deep or more%s, or take a thinner magnet.",
		wording.Number(math.Ceil((depth-l.room)*100-rounding)/100, 2), wording.SetBy(c.Mechanism, depth, "mm"))
	return f
}

func narrow(c *finding.Case, part int, l *lack, g float64) finding.Finding {
	p := &c.Evidence.Forces.Magnets[l.seat.Magnet]
	f := found(c, part, l)
	f.Of = "width"
	if l.seat.Across >= p.Magnet.D {
		f.Severity = finding.Note
	}
	f.Message = fmt.Sprintf("The magnet %s of %s, %s mm across, does not go into its pocket at %s a surface: that is %s mm across as drawn and %s mm then.%s",
		wording.Quoted(p.Name), wording.Part(c.Mechanism, part), wording.Number(p.Magnet.D, 2), wording.Growth(g),
		wording.Number(l.seat.Across, 2), wording.Number(l.seat.Across-2*g, 2), others(l.more))
	f.Change = fmt.Sprintf("Make the pocket %s mm across or more%s. If it is meant to be pressed in, expect it to stand out.",
		wording.Number(math.Ceil((l.seat.Across-l.room)*100-rounding)/100, 2), wording.SetBy(c.Mechanism, l.seat.Across, "mm"))
	return f
}

func found(c *finding.Case, part int, l *lack) finding.Finding {
	at := c.Evidence.Forces.Magnets[l.seat.Magnet].Centre
	return finding.Finding{
		Rule: "proud", Severity: finding.Warning, Margin: l.room, Unit: "mm",
		Where: finding.Where{Parts: []int{part}, At: &at},
	}
}

func others(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return " So does one more of this part."
	default:
		return fmt.Sprintf(" So do %d more of this part.", n)
	}
}
