package export

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"feint/internal/verdict/wording"
	"feint/internal/yield"
)

// WriteWords writes the outcome for a person.
func (d *YieldDocument) WriteWords(w io.Writer) error {
	b := &strings.Builder{}
	fmt.Fprintf(b, "%s: %s\n", d.Design, d.Sentence())
	fmt.Fprintf(b, "\n  %-11s %6s  %s\n", "", "prints", fmt.Sprintf("share (%g %% interval)", 100*d.Level))
	for _, l := range []struct {
		what string
		s    yield.Share
	}{{"works", d.Works}, {"binds", d.Binds}, {"leaks", d.Leaks}} {
		fmt.Fprintf(b, "  %-11s %6d  %s\n", l.what, l.s.Count, percent(l.s))
	}
	if d.Undecided > 0 {
		fmt.Fprintf(b, "  %-11s %6d  counted on neither side; the upper ends of the intervals take them in\n", "undecided", d.Undecided)
		if d.Loose > 0 {
			fmt.Fprintf(b, "  %-11s %6d  so loose that parts may pass which overlap as drawn by more than 0.2 mm; feint tells only where they surely do not\n", "  of these", d.Loose)
		}
	}
	d.whichever(b)
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

// whichever tells of the prints whose fate is the same whichever face of a fit decides.
func (d *YieldDocument) whichever(b *strings.Builder) {
	if !d.Directed {
		fmt.Fprintf(b, "\n  Whichever face of a fit decides: %s work, %s bind, %s leak.\n", percent(d.Surely.Works), percent(d.Surely.Binds), percent(d.Surely.Leaks))
		return
	}
	fmt.Fprintf(b, "\n  Not only the hand moves parts here: what falls and is pushed was followed for each of the %d prints by itself, which\n"+
		"  takes longer; --prints draws more. Whichever face of a fit decides, %s bind; of the others that is not told.\n", d.Prints, percent(d.Surely.Binds))
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

// Sentence is the whole answer in one sentence, of 100 copies: the shares rounded so
// that they sum to 100, and the pair that most failures are cured at.
func (d *YieldDocument) Sentence() string {
	of := hundred([]int{d.Works.Count, d.Binds.Count, d.Leaks.Count, d.Undecided})
	s := fmt.Sprintf("Of 100 copies %d %s, %d %s, %d %s", of[0], verb(of[0], "work"), of[1], verb(of[1], "bind"), of[2], verb(of[2], "leak"))
	if of[3] > 0 {
		s += fmt.Sprintf(", %d %s undecided", of[3], map[bool]string{true: "is", false: "are"}[of[3] == 1])
	}
	for _, c := range []struct {
		what string
		by   []YieldCause
		all  int
	}{{"bind", d.BindBy, d.Binds.Count}, {"leak", d.LeakBy, d.Leaks.Count}} {
		if len(c.by) > 0 && len(c.by[0].Parts) == 2 && 2*c.by[0].Count > c.all {
			s += fmt.Sprintf("; most copies that %s do so between %s and %s", c.what, wording.Name(c.by[0].Parts[0]), wording.Name(c.by[0].Parts[1]))
		}
	}
	return s + "."
}

// shareWords tells how sure the share of those that work is.
func shareWords(d *YieldDocument) string {
	s := fmt.Sprintf("Of %d virtual prints %s work (%g %% interval)", d.Prints, percent(d.Works), 100*d.Level)
	if d.Directed {
		return s + ", each followed by itself as its parts fall and are pushed."
	}
	return fmt.Sprintf("%s; whichever face of a fit decides, %.0f %% do.", s, 100*d.Surely.Works.Share)
}

func verb(n int, s string) string {
	if n == 1 {
		return s + "s"
	}
	return s
}

// hundred turns counts into whole numbers of a hundred by the largest remainder; all
// are 0 where there is nothing to count.
func hundred(counts []int) []int {
	sum := 0
	for _, c := range counts {
		sum += c
	}
	out := make([]int, len(counts))
	if sum == 0 {
		return out
	}
	left := 100
	order := make([]int, len(counts))
	for i, c := range counts {
		out[i] = 100 * c / sum
		left -= out[i]
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(100*counts[b]%sum, 100*counts[a]%sum) })
	for _, i := range order[:left] {
		out[i]++
	}
	return out
}

// CornerWords tells of the corners of the model in one sentence: how many work, and
// what becomes of the others.
func (d *YieldDocument) CornerWords() string {
	by := map[string][]string{}
	for _, c := range d.Corners[min(1, len(d.Corners)):] {
		by[c.Fate] = append(by[c.Fate], c.Name)
	}
	n := len(d.Corners) - 1
	if n < 1 {
		return ""
	}
	s := fmt.Sprintf("At the corners of what is known of the printer it works at %d of %d", len(by["works"]), n)
	for _, f := range [][2]string{{"binds", "binds"}, {"leaks", "leaks"}, {"undecided", "is undecided"}} {
		if at := by[f[0]]; len(at) > 0 {
			s += fmt.Sprintf("; it %s at %d, such as %s", f[1], len(at), strings.ReplaceAll(at[0], ", ", " and "))
		}
	}
	return s + "."
}

// mostListed is how many causes, corners alike and tries are told in words.
const mostListed = 4

// causeView is a pair that cures copies, in words.
type causeView struct {
	Fault string // bind, leak
	Count int
	Words string
}

// causesOf lists the pairs that cure most copies, those that bind first.
func causesOf(d *YieldDocument) []causeView {
	var out []causeView
	for _, k := range []struct {
		fault string
		by    []YieldCause
	}{{"bind", d.BindBy}, {"leak", d.LeakBy}} {
		for _, c := range k.by[:min(len(k.by), mostListed)] {
			out = append(out, causeView{k.fault, c.Count, c.words()})
		}
	}
	return out
}

// words tells the change, and what it does to the fit.
func (c *YieldCause) words() string {
	if len(c.Parts) == 0 {
		return "no change that cures is known"
	}
	also, open := "", "opened"
	if c.MeanChange < 0 {
		open = "closed"
	}
	if !c.Alone {
		also = ", and others less"
	}
	return fmt.Sprintf("%s and %s%s: %s by %.2f mm a side (%.2f across) on average, %.2f a side at most",
		wording.Name(c.Parts[0]), wording.Name(c.Parts[1]), also, open, math.Abs(c.MeanChange), 2*math.Abs(c.MeanChange), math.Abs(c.MostChange))
}

func (d *YieldDocument) causes(b *strings.Builder) {
	tell := func(title string, cs []YieldCause) {
		if len(cs) == 0 {
			return
		}
		fmt.Fprintf(b, "\n%s\n", title)
		for i := range cs {
			if i == mostListed {
				fmt.Fprintf(b, "  and %d more kinds, see --json\n", len(cs)-i)
				break
			}
			fmt.Fprintf(b, "  %6d  %s\n", cs[i].Count, cs[i].words())
		}
	}
	how := "the least change of clearances"
	if d.Directed {
		how = "a change of clearances, found by trying"
	}
	tell("What cures those that bind ("+how+")", d.BindBy)
	tell("What cures those that leak", d.LeakBy)
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
	if s.Why != "" {
		fmt.Fprintf(b, "  not told: %s\n", s.Why)
		return
	}
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
	listed, of := 0, "500 prints or fewer"
	for _, t := range d.Tries {
		if t.Why == "" {
			of = fmt.Sprintf("%d prints", t.Works.Of)
		}
	}
	fmt.Fprintf(b, "\nParams tried, best first (%s, judged more roughly than above)\n", of)
	for _, t := range d.Tries {
		if t.Why != "" {
			fmt.Fprintf(b, "  %s = %g: %s\n", t.Param, t.To, t.Why)
			continue
		}
		if listed++; listed <= mostListed {
			fmt.Fprintf(b, "  %s from %g to %g: %s work, %+.1f\n", t.Param, t.From, t.To, percent(t.Works), 100*t.Won)
		}
	}
	if listed > mostListed {
		fmt.Fprintf(b, "  and %d more, see --json\n", listed-mostListed)
	}
}
