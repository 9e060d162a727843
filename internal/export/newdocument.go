package export

import (
	"maps"
	"strings"

	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/units"
	"feint/internal/verdict"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

// Info is what a document tells beside the proof.
type Info struct {
	Version string             // of feint
	Seconds map[string]float64 // by stage; may be nil
	Growth  [2]float64         // the range asked, mm; used where there is no result
}

// NewDocument puts a proof into the form of the contract. r may be nil, as for
// verdict.Judge.
func NewDocument(m *mechanism.Mechanism, r *motion.Result, v *verdict.Verdict, info Info) *Document {
	if r == nil {
		r = &motion.Result{Asked: info.Growth, Loose: motion.Opening{Growth: info.Growth[0]}, Tight: motion.Opening{Growth: info.Growth[1]}}
	}
	b := &builder{m: m}
	d := &Document{
		Format: "feint proof", FormatVersion: DocumentVersion, FeintVersion: info.Version,
		Design:       DesignInfo{m.Name, m.Title, m.Designer, m.Revision, m.License, m.Note},
		DesignSHA256: m.SHA256,
		Params:       b.params(), Parts: b.parts(),
		Growth:  GrowthRange{tidy(r.Asked[0]), tidy(r.Asked[1])},
		Verdict: v.Kind.String(), Certified: v.Certified, ExitStatus: v.Kind.ExitStatus(),
		Sentence: v.Sentence, Doubts: list(v.Doubts),
		Goal: m.Goal.Name, Start: b.settings(m.Start),
		Openings: openings(r),
		Steps:    b.steps(r), Unnamed: b.unnamed(r), Idle: b.names(r.Idle),
		Fit: b.fit(r), Play: b.play(v.Evidence.Play), Reset: reset(r),
		Space: space(r), Checks: checks(v.Evidence.Checks), Findings: b.findings(v.Findings),
		Solution: []MoveInfo{},
		Seconds:  map[string]float64{},
	}
	d.Fit.Confirmed = v.Evidence.Limits
	maps.Copy(d.Seconds, info.Seconds)
	if w := r.Way; w != nil {
		n, s, least := len(w.Moves), w.Strokes(), w.Least
		if w.Fewest {
			least = n
		}
		d.Moves, d.Strokes, d.MovesLeast, d.Solution = &n, &s, &least, b.solution(w)
	}
	return d
}

// builder turns indices into names.
type builder struct{ m *mechanism.Mechanism }

func (b *builder) part(i int) string {
	if i < 0 || i >= len(b.m.Parts) {
		return "?"
	}
	return b.m.Parts[i].Name
}

func (b *builder) names(parts []int) []string {
	out := make([]string, len(parts))
	for i, p := range parts {
		out[i] = b.part(p)
	}
	return out
}

func (b *builder) params() []ParamInfo {
	out := make([]ParamInfo, len(b.m.Params))
	for i, p := range b.m.Params {
		out[i] = ParamInfo{p.Name, p.Value, p.Default, bounded(p.Min), bounded(p.Max), p.Unit, p.Note}
	}
	return out
}

func (b *builder) parts() []PartInfo {
	out := make([]PartInfo, len(b.m.Parts))
	for i := range b.m.Parts {
		p := &b.m.Parts[i]
		out[i] = PartInfo{Name: p.Name, Frame: p.Frame, Travels: make([]TravelInfo, len(p.Travels))}
		if p.Carrier >= 0 {
			c := b.part(p.Carrier)
			out[i].Carrier = &c
		}
		for k, ti := range p.Travels {
			t := &b.m.Travels[ti]
			out[i].Travels[k] = TravelInfo{t.Name, t.Kind.String(), wording.Unit(t), bounded(b.out(ti, t.Lo)), bounded(b.out(ti, t.Hi)), t.Full}
		}
	}
	return out
}

// out is a value of travel t in the unit of the outside, tidied.
func (b *builder) out(t int, v float64) float64 { return tidy(wording.Outside(&b.m.Travels[t], v)) }

func (b *builder) setting(t int, v float64) Setting {
	k := &b.m.Travels[t]
	return Setting{b.part(k.Part), k.Name, b.out(t, v), wording.Unit(k)}
}

func (b *builder) settings(q []float64) []Setting {
	out := []Setting{}
	for i, v := range q {
		if i < len(b.m.Travels) {
			out = append(out, b.setting(i, v))
		}
	}
	return out
}

func (b *builder) play(p []finding.Play) []PlayInfo {
	out := make([]PlayInfo, 0, len(p))
	for _, k := range p {
		if !b.m.Elsewhere(k.Part) {
			out = append(out, PlayInfo{b.part(k.Part), tidy(k.Side), tidy(units.Deg(k.Tip)), tidy(units.Deg(k.Turn)), k.SideOpen, k.TipOpen, k.TurnOpen})
		}
	}
	return out
}

func (b *builder) findings(fs []verdict.Finding) []FindingInfo {
	out := make([]FindingInfo, len(fs))
	for i := range fs {
		f := &fs[i]
		o := FindingInfo{
			Rule: f.Rule, Severity: f.Severity.String(), About: about(f), Message: f.Message, Change: f.Change,
			Where: WhereInfo{Parts: b.names(f.Where.Parts), Set: b.settings(f.Where.Config), Params: b.named(f.Change)},
			Cures: []CureInfo{}, Tried: f.Tried, Untried: f.Untried,
		}
		for _, c := range f.Cures {
			o.Cures = append(o.Cures, CureInfo(c))
		}
		if f.Where.Step != "" {
			o.Where.Step = &f.Where.Step
		}
		if p := f.Where.At; p != nil {
			o.Where.At = &[3]float64{tidy(p.X), tidy(p.Y), tidy(p.Z)}
		}
		if f.Unit != "" {
			o.Margin = &MarginInfo{tidy(f.Margin), f.Unit}
		}
		out[i] = o
	}
	return out
}

func about(f *verdict.Finding) string {
	if f.Print {
		return aboutPrint
	}
	return aboutBox
}

// named lists the params that words name in quotes.
func (b *builder) named(words string) []string {
	out := []string{}
	for i := range b.m.Params {
		if n := b.m.Params[i].Name; strings.Contains(words, wording.Quoted(n)) {
			out = append(out, n)
		}
	}
	return out
}

func checks(c []finding.Check) []CheckInfo {
	out := make([]CheckInfo, len(c))
	for i, k := range c {
		out[i] = CheckInfo{k.Name, k.Agreed, k.Detail}
	}
	return out
}
