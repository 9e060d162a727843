package export

import (
	"fmt"
	"html/template"
	"strings"

	"feint/internal/verdict/wording"
)

// reportFuncs are the words that the template asks for.
func reportFuncs() template.FuncMap {
	return template.FuncMap{
		"name":     wording.Name,
		"step":     func(s StepInfo) string { return stepAnswer(&s) },
		"bypass":   func(s StepInfo) string { return bypassWords(&s) },
		"margin":   func(s StepInfo, g GrowthRange) string { return stepMargin(&s, g.Lo) },
		"play":     func(s StepInfo) string { return playWords(&s) },
		"short":    func(s StepInfo) string { return shortcutWords(&s) },
		"findings": findingCount,
		"untried":  untriedTold,
		"left":     func(m *MarginInfo) string { return marginWords(m) },
		"where":    whereWords,
		"mm":       func(v float64) string { return wording.Number(v, 2) },
		"deg":      func(v float64) string { return wording.Number(v, 2) },
		"big":      bigHTML,
		"pm":       plusMinus,
		"stroke":   strokeWords,
		"value":    valueWords,
		"limits":   rangeWords,
		"head":     func(s string) string { return s[:min(12, len(s))] },
		"hatch":    hatchSwatch,
		"count":    wording.Count,
		"least":    leastWords,
		"told":     toldInFull,
		"advice":   adviceOf,
		"g":        func(v float64) string { return wording.Number(v, 1) },
		"metres":   func(v float64) string { return wording.Number(v, 2) },
		"round":    func(v float64) string { return wording.Number(v, 0) },
		"clock":    clockWords,
		"standing": standingCount,
		"answer":   answerWords,
		"percent":  percent,
		"shares":   shareWords,
		"causes":   causesOf,
	}
}

// plusMinus writes the sign that plain ASCII has not; for numbers only.
func plusMinus(s string) string { return strings.ReplaceAll(s, "+-", "\u00b1") }

// strokeWords letters the strokes of a move of several, as in its picture.
func strokeWords(words []string) []string {
	if len(words) < 2 {
		return words
	}
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = fmt.Sprintf("%c. %s", 'a'+rune(i%26), w)
	}
	return out
}

// bigHTML writes a large number with a power of ten.
func bigHTML(v float64) template.HTML {
	m, e := power(v)
	if e == 0 {
		return template.HTML(m) //nolint:gosec // digits
	}
	return template.HTML(fmt.Sprintf("%s&times;10<sup>%d</sup>", m, e)) //nolint:gosec // digits
}

func growthPair(g GrowthRange, times float64) string {
	return wording.GrowthNumber(times*g.Lo) + " to " + wording.GrowthNumber(times*g.Hi)
}

// stepAnswer says whether a step can be left out as drawn.
func stepAnswer(s *StepInfo) string {
	switch {
	case s.Unavoidable == nil:
		return "not known"
	case *s.Unavoidable:
		return "must be taken"
	default:
		return "can be left out"
	}
}

func bypassWords(s *StepInfo) string {
	if s.Bypass == nil {
		return "none found"
	}
	return limitWords(s.BypassLimit, *s.Bypass) + " and below"
}

// stepMargin is the room between the loose end and the growth that leaks.
func stepMargin(s *StepInfo, loose float64) string {
	if s.Bypass == nil && s.Holds != nil && *s.Holds <= loose {
		return "at least " + wording.Growth(loose-*s.Holds)
	}
	if s.Bypass == nil || s.BypassLimit == nil || s.BypassLimit.Hi == nil {
		return "-"
	}
	return wording.Growth(loose - *s.BypassLimit.Hi)
}

func playWords(s *StepInfo) string {
	switch {
	case s.BypassPlay == nil:
		return "none found"
	case noLower(s.BypassPlay, s.Bypass):
		return "perhaps above that too"
	}
	return wording.Growth(*s.BypassPlay) + " and below"
}

// shortcutWords tells the shortcut in a line.
func shortcutWords(s *StepInfo) string {
	k := s.Shortcut
	if k == nil {
		return ""
	}
	var w []string
	for i := range k.Solution {
		w = append(w, fmt.Sprintf("%d. %s: %s", i+1, wording.Name(k.Solution[i].Part), strings.Join(k.Solution[i].Words, ", then ")))
	}
	return fmt.Sprintf("Shortcut past %s at growth %s, %s: %s.", wording.Quoted(s.Name), wording.Growth(k.Growth), wording.Count(k.Moves, "move"), strings.Join(w, "; "))
}

// untriedTold is untried of the findings that are told in full, with the command that tries
// it; empty where there is none.
func untriedTold(d *Document) string {
	var told []*FindingInfo
	for i := range d.Findings {
		if !advised(&d.Findings[i]) {
			told = append(told, &d.Findings[i])
		}
	}
	if rules := untried(told); len(rules) > 0 {
		return untriedWords(rules) + " " + tryLine("", d, rules)
	}
	return ""
}

// findingCount sums up the findings: "1 fault, 2 warnings".
func findingCount(fs []FindingInfo) string {
	var w []string
	for _, sev := range []string{"fault", "warning", "note"} {
		n := 0
		for i := range fs {
			if fs[i].Severity == sev {
				n++
			}
		}
		if n > 0 {
			w = append(w, wording.Count(n, sev))
		}
	}
	if len(w) == 0 {
		return "None."
	}
	return wording.List(w) + "."
}

func whereWords(w WhereInfo) string {
	var out []string
	if len(w.Parts) > 0 {
		names := make([]string, len(w.Parts))
		for i, p := range w.Parts {
			names[i] = wording.Name(p)
		}
		out = append(out, wording.List(names))
	}
	if w.Step != nil {
		out = append(out, "step "+wording.Quoted(*w.Step))
	}
	if p := w.At; p != nil {
		out = append(out, fmt.Sprintf("x %s, y %s, z %s mm", wording.Number(p[0], 1), wording.Number(p[1], 1), wording.Number(p[2], 1)))
	}
	return strings.Join(out, "; ")
}

func valueWords(p ParamInfo) string {
	return strings.TrimSpace(trimmed(p.Value) + " " + unitName(p.Unit))
}

// trimmed is a number without zeros at its end.
func trimmed(v float64) string {
	s := wording.Number(v, 4)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

func rangeWords(p ParamInfo) string {
	switch {
	case p.Min != nil && p.Max != nil:
		return trimmed(*p.Min) + " to " + trimmed(*p.Max)
	case p.Min != nil:
		return "from " + trimmed(*p.Min)
	case p.Max != nil:
		return "up to " + trimmed(*p.Max)
	default:
		return "any"
	}
}

// unitName is a unit as the maker wrote it, "" left empty.
func unitName(s string) string {
	if s == "" {
		return ""
	}
	return wording.Name(s)
}

// hatchSwatch is a sample of the colour and the hatching of a part's cut faces,
// the same kinds as in the pictures.
func hatchSwatch(e legendEntry) template.HTML {
	var g svgText
	g.b.WriteString(`<svg class="swatch" viewBox="0 0 36 18" aria-hidden="true">`)
	fmt.Fprintf(&g.b, `<rect width="36" height="18" fill="%s"/>`, e.Color)
	fmt.Fprintf(&g.b, `<rect x="18" width="18" height="18" fill="#fff" opacity="0.55"/><g clip-path="inset(0)" stroke="#22262b" stroke-width="1">`)
	for _, l := range hatchLines(e.N - 1) {
		g.line("h", l[0], l[1], l[2], l[3])
	}
	g.b.WriteString(`</g><rect class="swatch-frame" width="36" height="18"/></svg>`)
	return template.HTML(g.b.String()) //nolint:gosec // built from numbers
}

// SideWords is how far it goes sideways, mm, in words.
func (p *PlayInfo) SideWords() string { return orMore(wording.Number(p.Side, 2), p.SideOpen) }

// TipWords is how far it tips, degrees, in words.
func (p *PlayInfo) TipWords() string { return orMore(wording.Number(p.Tip, 2), p.TipOpen) }

func orMore(words string, open bool) string {
	if open {
		return words + " or more"
	}
	return words
}
