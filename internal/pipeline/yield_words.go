package pipeline

import (
	"fmt"
	"io"
	"math"
	"strings"

	"feint/internal/yield"
)

// WriteWords writes the outcome for a person.
func (d *YieldDocument) WriteWords(w io.Writer) error {
	b := &strings.Builder{}
	d.sentence(b)
	fmt.Fprintf(b, "\n  %-11s %6s  %s\n", "", "prints", fmt.Sprintf("share (%g %% interval)", 100*d.Level))
	for _, l := range []struct {
		what string
		s    yield.Share
	}{{"works", d.Works}, {"binds", d.Binds}, {"leaks", d.Leaks}} {
		fmt.Fprintf(b, "  %-11s %6d  %s\n", l.what, l.s.Count, percent(l.s))
	}
	if d.Undecided > 0 {
		fmt.Fprintf(b, "  %-11s %6d  counted on neither side; the upper ends of the intervals take them in\n", "undecided", d.Undecided)
	}
	fmt.Fprintf(b, "\n  Whichever face of a fit decides: %s work, %s bind, %s leak.\n", percent(d.Surely.Works), percent(d.Surely.Binds), percent(d.Surely.Leaks))
	if d.PlayLeaks.Count > 0 {
		fmt.Fprintf(b, "  Of those that work %s let a step be left out when the parts are pushed about in their play.\n", percent(d.PlayLeaks))
	}
	d.causes(b)
	d.steps(b)
	d.corners(b)
	d.scales(b)
	d.tries(b)
	fmt.Fprintf(b, "\n  Setting: %s. Numbers from: %s.\n  Seed %d; the same seed gives the same prints.\n", d.Setting, orSay(d.Source, "not said"), d.Seed)
	_, err := io.WriteString(w, b.String())
	return err
}

func orSay(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func percent(s yield.Share) string {
	return fmt.Sprintf("%.1f %% (%.1f to %.1f)", 100*s.Share, 100*s.Lo, 100*s.Hi)
}

// sentence is the whole answer in one sentence, of 100 copies.
func (d *YieldDocument) sentence(b *strings.Builder) {
	n := math.Max(1, float64(d.Prints))
	of := func(k int) float64 { return 100 * float64(k) / n }
	fmt.Fprintf(b, "Of 100 copies of %s %.0f work, %.0f bind, %.0f leak", d.Design, of(d.Works.Count), of(d.Binds.Count), of(d.Leaks.Count))
	if u := of(d.Undecided); u >= 0.5 {
		fmt.Fprintf(b, ", %.0f are undecided", u)
	}
	if len(d.BindBy) > 0 && len(d.BindBy[0].Parts) == 2 && 2*d.BindBy[0].Count > d.Binds.Count {
		fmt.Fprintf(b, "; most that bind do so between %s and %s", d.BindBy[0].Parts[0], d.BindBy[0].Parts[1])
	}
	b.WriteString(".\n")
}

// mostListed is how many causes, corners alike and tries are told in words.
const mostListed = 4

func (d *YieldDocument) causes(b *strings.Builder) {
	tell := func(title, open string, cs []CauseDocument) {
		if len(cs) == 0 {
			return
		}
		fmt.Fprintf(b, "\n%s\n", title)
		for i, c := range cs {
			if i == mostListed {
				fmt.Fprintf(b, "  and %d more kinds, see --json\n", len(cs)-i)
				break
			}
			if len(c.Parts) == 0 {
				fmt.Fprintf(b, "  %6d  no change that cures is known\n", c.Count)
				continue
			}
			also := ""
			if !c.Alone {
				also = ", and others less"
			}
			fmt.Fprintf(b, "  %6d  %s and %s%s: %s by %.2f mm a side (%.2f across) on average, %.2f a side at most\n",
				c.Count, c.Parts[0], c.Parts[1], also, open, math.Abs(c.MeanChange), 2*math.Abs(c.MeanChange), math.Abs(c.MostChange))
		}
	}
	tell("What cures those that bind (the least change of clearances)", "opened", d.BindBy)
	tell("What cures those that leak", "closed", d.LeakBy)
}

func (d *YieldDocument) steps(b *strings.Builder) {
	any := false
	for _, s := range d.Steps {
		if s.Avoidable.Count > 0 {
			if !any {
				b.WriteString("\nSteps that can be left out\n")
			}
			any = true
			fmt.Fprintf(b, "  %s: %s\n", s.Name, percent(s.Avoidable))
		}
	}
}

func (d *YieldDocument) corners(b *strings.Builder) {
	b.WriteString("\nAt the corners of the model\n")
	for _, c := range d.Corners {
		fmt.Fprintf(b, "  %-10s %s\n", c.Fate, c.Name)
	}
}

func (d *YieldDocument) scales(b *strings.Builder) {
	s := &d.Scales
	b.WriteString("\nPrint scale\n")
	if !s.Works {
		fmt.Fprintf(b, "  as expected on this printer it %s at its own size, so no range is told\n", orSay(map[string]string{"binds": "binds", "leaks": "leaks"}[s.Below], "is undecided"))
		return
	}
	end := func(at float64, fate string, ended bool, side string) string {
		if ended {
			return fmt.Sprintf("%.0f %% and perhaps %s", 100*at, side)
		}
		return fmt.Sprintf("%.1f %% (beyond it %s)", 100*at, fate)
	}
	fmt.Fprintf(b, "  works from %s to %s\n", end(s.Lo, s.Below, s.EndLo, "below"), end(s.Hi, s.Above, s.EndHi, "above"))
}

func (d *YieldDocument) tries(b *strings.Builder) {
	if len(d.Tries) == 0 {
		return
	}
	b.WriteString("\nParams tried, best first\n")
	for i, t := range d.Tries {
		if i == mostListed {
			break
		}
		if t.Why != "" {
			fmt.Fprintf(b, "  %s = %g: %s\n", t.Param, t.To, t.Why)
			continue
		}
		fmt.Fprintf(b, "  %s from %g to %g: %s work, %+.1f\n", t.Param, t.From, t.To, percent(t.Works), 100*t.Won)
	}
}
