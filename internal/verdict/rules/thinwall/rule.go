package thinwall

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "thin-wall", Print: true, Title: "a wall or a web is thinner than two lines", Doc: doc, Check: check}
}

// most is how many findings a part has, of the thinnest places.
const most = 5

// alike is by how much places of one finding may differ in thickness, mm: less than a
// line can be set.
const alike = 0.05

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for i, r := range s.Reports {
		if r == nil {
			continue
		}
		for _, g := range groups(r.Thin) {
			out = append(out, told(c, i, g))
		}
	}
	return out
}

// groups are the places of one kind and thickness, as they come: the worst first.
func groups(thin []printable.Thin) [][]printable.Thin {
	var out [][]printable.Thin
next:
	for _, p := range thin {
		if p.Slit {
			continue
		}
		for k := range out {
			if o := &out[k][0]; o.Level == p.Level && o.Least == p.Least && math.Abs(o.Thickness-p.Thickness) <= alike {
				out[k] = append(out[k], p)
				continue next
			}
		}
		if len(out) < most {
			out = append(out, []printable.Thin{p})
		}
	}
	return out
}

func told(c *finding.Case, part int, places []printable.Thin) finding.Finding {
	p, area := &places[0], 0.0
	for k := range places {
		area += places[k].Area
		if places[k].Thickness < p.Thickness {
			p = &places[k]
		}
	}
	at := p.At
	one, many, twice := "A wall", "walls", "two lines"
	if p.Level {
		one, many, twice = "A floor or roof", "floors or roofs", "two layers"
	}
	what, over := one+" of %s is", wording.Number(area, 0)+" mm2"
	if n := len(places); n > 1 {
		what, over = wording.Number(float64(n), 0)+" "+many+" of %s are", over+" in all"
	}
	f := finding.Finding{
		Rule: "thin-wall", Severity: finding.Warning, Where: finding.Where{Parts: []int{part}, At: &at},
		Margin: p.Thickness - p.Least, Unit: "mm",
		Message: fmt.Sprintf(what+" %s thick over %s; %s are %s.", wording.Part(c.Mechanism, part), wording.Length(p.Thickness), over, twice, wording.Length(p.Least)),
		Change:  fmt.Sprintf("Make it %s or more.", wording.Length(p.Least)),
	}
	if p.Thickness < p.Least/2 {
		f.Severity = finding.Fault
	}
	return f
}
