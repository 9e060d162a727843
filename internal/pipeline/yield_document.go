package pipeline

import (
	"feint/internal/export"
	"feint/internal/yield"
)

// Document is the outcome for scripts.
func (out *YieldOutcome) Document() *export.YieldDocument {
	r, y := &out.Report, &out.Options
	d := &export.YieldDocument{
		Format: "feint yield", FormatVersion: export.YieldVersion, FeintVersion: out.Version,
		Design: out.Mechanism.Name, DesignSHA256: out.Mechanism.SHA256, Setting: y.Model.Name, Source: y.Model.Source,
		Seed: y.Seed, Prints: r.Prints, Directed: !out.Mechanism.HandsOnly(), Level: y.Level, Works: r.Works, Binds: r.Binds, Leaks: r.Leaks, Undecided: r.Unknown, Loose: r.Loose, PlayLeaks: r.Play,
		Surely: export.YieldSurely{Works: r.SurelyWorks, Binds: r.SurelyBinds, Leaks: r.SurelyLeaks},
		Steps:  []export.YieldStep{}, BindBy: out.causes(r.BindBy), LeakBy: out.causes(r.LeakBy),
		Scales: export.YieldScales{
			Works: out.Scales.Works, Lo: out.Scales.Lo, Hi: out.Scales.Hi, Below: out.Scales.Below.String(),
			Above: out.Scales.Above.String(), EndLo: out.Scales.EndLo, EndHi: out.Scales.EndHi, Why: out.Unscaled,
		},
	}
	for i, s := range r.Steps {
		d.Steps = append(d.Steps, export.YieldStep{Name: out.Mechanism.Steps[i].Name, Avoidable: s})
	}
	for _, c := range out.Corners {
		d.Corners = append(d.Corners, export.YieldCorner{Name: c.Name, Fate: c.Fate.String(), Surely: c.Surely.String()})
	}
	for _, t := range out.Tries {
		d.Tries = append(d.Tries, export.YieldTry(t))
	}
	return d
}

func (out *YieldOutcome) causes(cs []yield.Cause) []export.YieldCause {
	ds := []export.YieldCause{}
	for _, c := range cs {
		d := export.YieldCause{Parts: []string{}, Alone: c.Alone, Count: c.Count, MeanChange: c.Change, MostChange: c.Most}
		if c.Pair >= 0 {
			k := &out.Contacts[c.Pair]
			d.Parts = append(d.Parts, out.Mechanism.Parts[k.A].Name, out.Mechanism.Parts[k.B].Name)
		}
		ds = append(ds, d)
	}
	return ds
}
