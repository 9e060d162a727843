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
			Pull: span(l.Pull), Peel: span(l.Peel), Kept: span(l.Kept), Curve: []OpenedInfo{},
		}
		for _, c := range l.Curve {
			o.Curve = append(o.Curve, OpenedInfo{c.By, span(c.Pull)})
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
		var at []string
		for _, c := range l.Curve {
			if c.Open > 0 {
				at = append(at, fmt.Sprintf("%s N at %g mm", spanWords(c.Pull, 1), c.Open))
			}
		}
		if len(at) > 0 {
			s += ". Opening, a hand feels " + strings.Join(at, ", ")
		}
		t.para("  - ", s+".")
	}
}
