package gravitypin

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/forces"
	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

const (
	// Late is the slope from which a part is said to fall late, radians from level: half
	// way between level and upright (common practice, no source).
	Late = math.Pi / 4
	// Led is how long the guide left should be at least, as a share of the width of the
	// part there (common practice, no source).
	Led = 1.0
)

// Rule finds parts that fall badly.
func Rule() finding.Rule {
	return finding.Rule{Name: "gravity-pin", Title: "a part that is to fall sticks, falls late or tips", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	var out []finding.Finding
	for i := range c.Evidence.Forces.Falls {
		f := &c.Evidence.Forces.Falls[i]
		if g, ok := slope(c, f); ok {
			out = append(out, g)
		}
		if g, ok := tips(c, f); ok {
			out = append(out, g)
		}
	}
	return out
}

// worst is where and which way the travel needs the steepest slope, measured by what the
// attitudes leave of it.
func worst(f *survey.Fall) (at *survey.Station, way int) {
	most := math.Inf(-1)
	for i := range f.At {
		for w, s := range f.At[i].Slope {
			if over := s.Hi - limit(f, w); s != (forces.Interval{}) && over > most {
				at, way, most = &f.At[i], w, over
			}
		}
	}
	return at, way
}

// limit is the slope on which it should surely fall: Late, or what the attitudes offer. A
// way that no attitude takes it down is not asked.
func limit(f *survey.Fall, way int) float64 {
	if f.Offered[way] <= 0 {
		return math.Inf(1)
	}
	return min(Late, f.Offered[way])
}

func slope(c *finding.Case, f *survey.Fall) (finding.Finding, bool) {
	at, way := worst(f)
	if at == nil || at.Slope[way].Hi <= limit(f, way) {
		return finding.Finding{}, false
	}
	need, name := at.Slope[way], wording.Part(c.Mechanism, f.Part)
	g := finding.Finding{
		Rule: "gravity-pin", Of: "slope", Severity: finding.Warning, Where: where(c, f, at),
		Margin: units.Deg(limit(f, way) - need.Hi), Unit: "deg",
		Change: fmt.Sprintf("Make %s heavier, give it more gap, or let go of what holds it there.", name),
	}
	place := standing(c.Mechanism, f, at)
	switch {
	case math.IsInf(need.Lo, 1):
		g.Severity = finding.Fault
		g.Message = fmt.Sprintf("By estimate %s does not fall %s, however steep it lies.", name, place)
	case math.IsInf(need.Hi, 1):
		g.Message = fmt.Sprintf("By estimate %s falls %s on slopes from %s deg on, and with the most friction on none: it may stick.", name, place, wording.Number(units.Deg(need.Lo), 0))
	case f.Offered[way] < Late:
		g.Message = fmt.Sprintf("By estimate %s surely falls %s on slopes from %s to %s deg on; the attitudes allowed give it %s deg.",
			name, place, wording.Number(units.Deg(need.Lo), 0), wording.Number(units.Deg(need.Hi), 0), wording.Number(units.Deg(f.Offered[way]), 0))
		g.Change = fmt.Sprintf("Lay its way steeper, or allow an attitude that does; or make %s fall on less: heavier, with more gap.", name)
	default:
		g.Message = fmt.Sprintf("By estimate %s falls late %s: on slopes from %s to %s deg on.", name, place, wording.Number(units.Deg(need.Lo), 0), wording.Number(units.Deg(need.Hi), 0))
	}
	if math.IsInf(need.Hi, 1) {
		g.Margin, g.Unit = 0, ""
	}
	if l := at.Guide.Length; l > 0 && at.Beside > l/10 {
		g.Message += fmt.Sprintf(" Its middle of mass hangs %s mm beside a guide of %s mm.", wording.Number(at.Beside, 1), wording.Number(l, 1))
		g.Change = fmt.Sprintf("Lengthen the guide of %s, or bring its middle of mass over it.", name)
	}
	return g, true
}

func tips(c *finding.Case, f *survey.Fall) (finding.Finding, bool) {
	var least *survey.Station
	room := math.Inf(1)
	for i := range f.At {
		g := f.At[i].Guide
		if r := g.Length - Led*width(f); r < room {
			least, room = &f.At[i], r
		}
	}
	if f.Leaves || least == nil || room >= 0 {
		return finding.Finding{}, false
	}
	name := wording.Part(c.Mechanism, f.Part)
	g := finding.Finding{
		Rule: "gravity-pin", Of: "guide", Severity: finding.Warning, Where: where(c, f, least), Margin: room, Unit: "mm",
		Message: fmt.Sprintf("By estimate %s has %s mm of guide left %s, and is %s mm wide there: it may tip, bite and not come back.",
			name, wording.Number(least.Guide.Length, 1), standing(c.Mechanism, f, least), wording.Number(width(f), 1)),
		Change: fmt.Sprintf("Lengthen the guide of %s by %s mm, or stop it so much sooner%s.", name, wording.Number(math.Ceil(-room*10)/10, 1),
			wording.SetBy(c.Mechanism, least.Value, wording.Unit(&c.Mechanism.Travels[f.Travel]))),
	}
	return g, true
}

// width is the greatest width over which the part is led anywhere.
func width(f *survey.Fall) float64 {
	w := 0.0
	for i := range f.At {
		w = max(w, f.At[i].Guide.Width)
	}
	return w
}

func where(c *finding.Case, f *survey.Fall, at *survey.Station) finding.Where {
	q := append([]float64(nil), c.Mechanism.Start...)
	q[f.Travel] = at.Value
	return finding.Where{Parts: []int{f.Part}, Config: q}
}

func standing(m *mechanism.Mechanism, f *survey.Fall, at *survey.Station) string {
	t := &m.Travels[f.Travel]
	return "at " + wording.Name(t.Name) + " " + wording.Value(t, at.Value)
}
