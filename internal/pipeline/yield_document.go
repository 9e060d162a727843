package pipeline

import (
	"encoding/json"
	"io"

	"feint/internal/yield"
)

// YieldDocument is the answer of "feint yield" for scripts. Lengths mm.
type YieldDocument struct {
	Design       string           `json:"design"`
	DesignSHA256 string           `json:"design_sha256"`
	Setting      string           `json:"setting"`
	Source       string           `json:"source"`
	Seed         uint64           `json:"seed"`
	Prints       int              `json:"prints"`
	Level        float64          `json:"level"`
	Works        yield.Share      `json:"works"`
	Binds        yield.Share      `json:"binds"`
	Leaks        yield.Share      `json:"leaks"`
	Undecided    int              `json:"undecided"`
	PlayLeaks    yield.Share      `json:"play_leaks"` // of the prints that work
	Surely       SurelyDocument   `json:"whichever_face_decides"`
	Steps        []StepDocument   `json:"steps"`
	BindBy       []CauseDocument  `json:"binds_by"`
	LeakBy       []CauseDocument  `json:"leaks_by"`
	Corners      []CornerDocument `json:"corners"`
	Scales       ScalesDocument   `json:"scales"`
	Tries        []TryDocument    `json:"tries,omitempty"`
}

// SurelyDocument are the shares that hold whichever face of each pair decides.
type SurelyDocument struct {
	Works yield.Share `json:"works"`
	Binds yield.Share `json:"binds"`
	Leaks yield.Share `json:"leaks"`
}

// StepDocument tells in how many prints a step can be left out.
type StepDocument struct {
	Name      string      `json:"name"`
	Avoidable yield.Share `json:"avoidable"`
}

// CauseDocument is a pair that cures prints.
type CauseDocument struct {
	Parts      []string `json:"parts"` // empty where nothing that cures is known
	Alone      bool     `json:"alone"` // this pair's change alone cures
	Count      int      `json:"count"`
	MeanChange float64  `json:"mean_change_mm"`
	MostChange float64  `json:"most_change_mm"`
}

// CornerDocument is a corner of the model.
type CornerDocument struct {
	Name   string `json:"name"`
	Fate   string `json:"fate"`
	Surely string `json:"whichever_face_decides"`
}

// ScalesDocument is the range of print scales.
type ScalesDocument struct {
	Works bool    `json:"works"`
	Lo    float64 `json:"lo"`
	Hi    float64 `json:"hi"`
	Below string  `json:"below"`
	Above string  `json:"above"`
	EndLo bool    `json:"search_ended_lo"`
	EndHi bool    `json:"search_ended_hi"`
}

// TryDocument is a tried change of a param.
type TryDocument struct {
	Param string      `json:"param"`
	From  float64     `json:"from"`
	To    float64     `json:"to"`
	Works yield.Share `json:"works"`
	Won   float64     `json:"won"`
	Why   string      `json:"why,omitempty"`
}

// Document is the outcome for scripts.
func (out *YieldOutcome) Document() *YieldDocument {
	r, y := &out.Report, &out.Options
	d := &YieldDocument{
		Design: out.Mechanism.Name, DesignSHA256: out.Mechanism.SHA256, Setting: y.Model.Name, Source: y.Model.Source,
		Seed: y.Seed, Prints: r.Prints, Level: y.Level, Works: r.Works, Binds: r.Binds, Leaks: r.Leaks, Undecided: r.Unknown, PlayLeaks: r.Play,
		Surely: SurelyDocument{r.SurelyWorks, r.SurelyBinds, r.SurelyLeaks},
		Steps:  []StepDocument{}, BindBy: out.causes(r.BindBy), LeakBy: out.causes(r.LeakBy),
		Scales: ScalesDocument{
			Works: out.Scales.Works, Lo: out.Scales.Lo, Hi: out.Scales.Hi, Below: out.Scales.Below.String(),
			Above: out.Scales.Above.String(), EndLo: out.Scales.EndLo, EndHi: out.Scales.EndHi,
		},
	}
	for i, s := range r.Steps {
		d.Steps = append(d.Steps, StepDocument{out.Mechanism.Steps[i].Name, s})
	}
	for _, c := range out.Corners {
		d.Corners = append(d.Corners, CornerDocument{c.Name, c.Fate.String(), c.Surely.String()})
	}
	for _, t := range out.Tries {
		d.Tries = append(d.Tries, TryDocument(t))
	}
	return d
}

func (out *YieldOutcome) causes(cs []yield.Cause) []CauseDocument {
	ds := []CauseDocument{}
	for _, c := range cs {
		d := CauseDocument{Parts: []string{}, Alone: c.Alone, Count: c.Count, MeanChange: c.Change, MostChange: c.Most}
		if c.Pair >= 0 {
			k := &out.Contacts[c.Pair]
			d.Parts = append(d.Parts, out.Mechanism.Parts[k.A].Name, out.Mechanism.Parts[k.B].Name)
		}
		ds = append(ds, d)
	}
	return ds
}

// WriteJSON writes the document, indented.
func (d *YieldDocument) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(d)
}
