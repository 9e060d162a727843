package export

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"feint/internal/verdict/wording"
)

// leastWords says how few moves any way must have.
func leastWords(d *Document) string {
	switch {
	case d.Moves == nil || d.MovesLeast == nil:
		return ""
	case *d.MovesLeast >= *d.Moves:
		return ", and no way has fewer moves"
	case *d.MovesLeast > 0:
		return fmt.Sprintf("; fewer than %d is impossible", *d.MovesLeast)
	default:
		return ""
	}
}

// startWords lists the travels that do not start at 0.
func startWords(d *Document) string {
	var off []Setting
	for _, s := range d.Start {
		if s.Value != 0 {
			off = append(off, s)
		}
	}
	switch {
	case len(d.Start) == 0:
		return ""
	case len(off) == 0:
		return "everything at 0."
	case len(off) == len(d.Start):
		return settingsWords(off) + "."
	default:
		return settingsWords(off) + "; all else at 0."
	}
}

// roomWords says how clear a part stays along its move.
func roomWords(k *MoveInfo) string {
	if k.Clearance == nil {
		return ""
	}
	of := "of everything"
	if k.Against != nil {
		of = "of " + wording.Name(*k.Against)
	}
	return fmt.Sprintf("at least %s clear %s", wording.AtLeast(*k.Clearance), of)
}

// stepWords says whether a step can be left out, and with what margin.
func stepWords(s *StepInfo, loose float64) string {
	out := "must be taken as drawn"
	switch {
	case s.Unavoidable == nil && nearDrawn(s.BypassLimit) > 0:
		out = fmt.Sprintf("not known whether it can be left out as drawn, so near is its limit: within %s mm a surface", wording.Number(nearDrawn(s.BypassLimit), 3))
	case s.Unavoidable == nil:
		out = "not known whether it can be left out"
	case !*s.Unavoidable:
		out = "can be left out as drawn"
	}
	if s.Bypass == nil {
		if s.Unavoidable != nil && *s.Unavoidable {
			out += ", and no way round it" + holdsWords(s.Holds)
		}
	} else {
		out += fmt.Sprintf("; left out at a growth of %s and below", limitWords(s.BypassLimit, *s.Bypass))
		if hi := s.BypassLimit.Hi; hi != nil {
			out += fmt.Sprintf(" (margin %s)", wording.Growth(loose-*hi))
		}
	}
	switch {
	case noLower(s.BypassPlay, s.Bypass):
		out += "; with play perhaps above that too"
	case s.BypassPlay != nil:
		out += fmt.Sprintf("; with play from %s", wording.Growth(*s.BypassPlay))
	}
	return out + "."
}

// nearDrawn is how far from drawn size a limit may lie that may lie there, mm; 0 of others.
func nearDrawn(l *LimitInfo) float64 {
	if l == nil || l.Lo == nil || l.Hi == nil || *l.Lo > 0 || *l.Hi < 0 {
		return 0
	}
	return max(-*l.Lo, *l.Hi)
}

// limitWords is a growth with its uncertainty.
func limitWords(l *LimitInfo, mid float64) string {
	s := wording.Growth(mid)
	if l == nil || l.Lo == nil || l.Hi == nil || *l.Hi-*l.Lo < 0.001 {
		return s
	}
	return s + fmt.Sprintf(" (+-%s)", wording.Number((*l.Hi-*l.Lo)/2, 3))
}

func marginWords(m *MarginInfo) string {
	side := "left"
	v := m.Value
	if v < 0 {
		side, v = "beyond the limit", -v
	}
	digits := 1
	if strings.HasPrefix(m.Unit, "mm") {
		digits = 3
	}
	return fmt.Sprintf("%s %s %s.", wording.Number(v, digits), m.Unit, side)
}

// power splits a large number into mantissa and power of ten; below a million it
// is written out, with power 0.
func power(v float64) (string, int) {
	if v < 1e6 {
		return wording.Number(v, 0), 0
	}
	e := int(math.Floor(math.Log10(v)))
	m := v / math.Pow10(e)
	if m >= 9.995 {
		m, e = m/10, e+1
	}
	return wording.Number(m, 2), e
}

func bigWords(v float64) string {
	m, e := power(v)
	if e == 0 {
		return m
	}
	return fmt.Sprintf("%s x 10^%d", m, e)
}

func checkWords(c *CheckInfo) string {
	s := "Checked by a second method: "
	if !c.Agreed {
		s = "NOT confirmed by the second method: "
	}
	s += wording.Name(c.Name)
	if c.Detail != "" {
		s += " (" + wording.Name(c.Detail) + ")"
	}
	return s + "."
}

func secondsWords(s map[string]float64) string {
	var w []string
	for _, k := range slices.Sorted(maps.Keys(s)) {
		w = append(w, fmt.Sprintf("%s %.2f s", k, s[k]))
	}
	return strings.Join(w, ", ")
}
