package export

import (
	"fmt"
	"strings"

	"feint/internal/forces/survey"
	"feint/internal/verdict/wording"
)

// LidInfo is a part that magnets hold at the start against a slide, by estimate.
type LidInfo struct {
	Part    string       `json:"part"`
	Travel  string       `json:"travel"`
	Grams   float64      `json:"grams"`   // of all that moves with it
	Magnets int          `json:"magnets"` // on its side
	Pull    SpanInfo     `json:"pull_n"`  // straight
	Peel    SpanInfo     `json:"peel_n"`  // at the rim, if nothing keeps it from tipping
	Kept    SpanInfo     `json:"kept_g"`  // shaking that they hold it in, its weight against them
	Need    int          `json:"need"`    // how many of the weakest keep it at 5 g with half as much again in hand; 0 if none can be told
	Curve   []OpenedInfo `json:"curve"`   // pull against opening
}

// OpenedInfo is the pull at one opening.
type OpenedInfo struct {
	Open float64  `json:"open_mm"`
	At   float64  `json:"at_mm"` // value of the travel there
	Pull SpanInfo `json:"pull_n"`
}

func (b *builder) lids(s *survey.Survey) []LidInfo {
	out := []LidInfo{}
	if s == nil {
		return out
	}
	for i := range s.Lids {
		l := &s.Lids[i]
		o := LidInfo{
			Part: b.part(l.Part), Travel: b.m.Travels[l.Travel].Name, Magnets: l.Count, Need: l.Need,
			Grams: tidy(1000 * l.Mass), Pull: span(l.Pull), Peel: span(l.Peel), Kept: span(l.Kept), Curve: []OpenedInfo{},
		}
		for _, c := range l.Curve {
			o.Curve = append(o.Curve, OpenedInfo{c.By, b.out(l.Travel, c.At), span(c.Pull)})
		}
		out = append(out, o)
	}
	return out
}

// lids tells what magnets hold lids with.
func (t *terminal) lids(h *HandlingInfo) {
	for i := range h.Lids {
		l := &h.Lids[i]
		s := fmt.Sprintf("%s is held by %s: %s N straight, %s N at the rim if it can tip, in shaking of up to %s g, by estimate", wording.Name(l.Part),
			wording.Count(l.Magnets, "magnet"), spanWords(l.Pull, 1), spanWords(l.Peel, 1), spanWords(l.Kept, 1))
		if l.Need > 0 {
			s += fmt.Sprintf("; %d of them would keep it at %g g with some in hand", l.Need, survey.Level)
		}
		if w := l.felt(); w != "" {
			s += ". Opening, a hand feels " + w
		}
		t.para("  - ", s+".")
	}
}

// unfelt is the pull below which nothing is felt, N: a tenth of the weight of 100 g.
const unfelt = 0.1

// felt lists what a hand feels at some openings, up to where next to nothing is left.
func (l *LidInfo) felt() string {
	told := map[float64]bool{0.5: true, 1: true, 2: true, 3: true, 5: true, 10: true}
	var at []string
	for _, c := range l.Curve {
		if !told[c.Open] {
			continue
		}
		if c.Pull.Hi != nil && *c.Pull.Hi < unfelt {
			return strings.Join(append(at, fmt.Sprintf("next to nothing from %g mm on", c.Open)), ", ")
		}
		at = append(at, fmt.Sprintf("%s N at %g mm", spanWords(c.Pull, 1), c.Open))
	}
	return strings.Join(at, ", ")
}
