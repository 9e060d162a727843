package server

import (
	"context"
	"fmt"
	"math"
	"net/http"

	"feint/internal/gauge"
	"feint/internal/pipeline"
	"feint/internal/printable"
)

// Fits are the fits of a design, the tightest first.
type Fits struct {
	Fits []FitRow `json:"fits"`
}

// FitRow is a place where two parts slide in each other.
type FitRow struct {
	Number int     `json:"number"` // by which its gauge is asked for
	Inner  string  `json:"inner"`
	Outer  string  `json:"outer"`
	Round  bool    `json:"round"` // a round hollow; otherwise between walls
	Wide   float64 `json:"wide_mm"`
	Gap    float64 `json:"gap_mm"` // per side
	Alike  int     `json:"alike"`  // how many more are the same
}

// GaugesAsked says which gauges are cut: what `feint gauge` is asked.
type GaugesAsked struct {
	Fits  []int     `json:"fits"`    // by number; empty takes the tightest
	Most  int       `json:"most"`    // gauges of fits at most, where none is named
	Gaps  []float64 `json:"gaps_mm"` // per side, of the ladder; empty takes steps round the drawn gap
	Plain bool      `json:"plain"`   // the plain ladder as well
	On    string    `json:"on"`      // the printer's setting by which time and mass are told; "" is the preferred one
}

// GaugeRow is one gauge that was cut.
type GaugeRow struct {
	Name    string     `json:"name"`
	Title   string     `json:"title"`
	Minutes float64    `json:"minutes"`
	Grams   float64    `json:"grams"`
	Notes   []string   `json:"notes"`
	Places  []PlaceRow `json:"places"`
}

// PlaceRow is one labelled place of a gauge.
type PlaceRow struct {
	Label   string  `json:"label"`
	What    string  `json:"what"` // hole, peg, length, socket
	Do      string  `json:"do"`
	Felt    bool    `json:"felt"`       // otherwise it is measured
	Gap     float64 `json:"gap_mm"`     // per side, of a fit that is felt
	Nominal float64 `json:"nominal_mm"` // drawn size; of a round fit its diameter; 0 for flat walls
}

// The most that is asked of gauges at once.
const (
	mostGauges  = 12
	mostGaps    = 12
	largestGap  = 2.0 // mm
	mostNumbers = 64
)

func (a *GaugesAsked) check() error {
	if a.Most < 0 || a.Most > mostGauges || len(a.Fits) > mostGauges {
		return bad("At most %d gauges are cut at once.", mostGauges)
	}
	if len(a.Gaps) > mostGaps || len(a.Fits) > mostNumbers {
		return bad("A ladder has at most %d gaps.", mostGaps)
	}
	for _, g := range a.Gaps {
		if !(g > 0 && g <= largestGap) || math.IsNaN(g) {
			return bad("A gap of %g mm per side makes no ladder; say 0.05 to %g.", g, largestGap)
		}
	}
	if len(a.Fits) == 0 && a.Most == 0 && !a.Plain {
		return bad("That asks for no gauge: say how many fits, or ask for the plain ladder.")
	}
	return nil
}

// fits lists where the parts of a design slide in each other.
func (s *Server) fits(_ http.ResponseWriter, r *http.Request) (any, error) {
	st, err := s.stage(r.PathValue("stage"))
	if err != nil {
		return nil, err
	}
	done, err := slot(r.Context(), s.deep)
	if err != nil {
		return nil, err
	}
	defer done()
	out, err := pipeline.FindFits(r.Context(), s.path(st.view.Design), s.stageOptions(st))
	if err != nil {
		return nil, bad("%v", err)
	}
	if err := changedSince(out.Mechanism.SHA256, st); err != nil {
		return nil, err
	}
	all := Fits{Fits: []FitRow{}}
	for i := range out.Fits {
		k := &out.Fits[i]
		all.Fits = append(all.Fits, FitRow{
			Number: i + 1, Inner: out.Mechanism.Parts[k.Inner].Name, Outer: out.Mechanism.Parts[k.Outer].Name,
			Round: k.Round, Wide: k.Wide, Gap: k.Gap, Alike: k.Alike,
		})
	}
	return all, nil
}

// gauges cuts gauges out of a design, as `feint gauge` does.
func (s *Server) gauges(_ http.ResponseWriter, r *http.Request) (any, error) {
	st, err := s.stage(r.PathValue("stage"))
	if err != nil {
		return nil, err
	}
	var a GaugesAsked
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	if err := a.check(); err != nil {
		return nil, err
	}
	g := pipeline.GaugeOptions{Fits: a.Fits, Most: a.Most, Gaps: a.Gaps, Plain: a.Plain}
	if len(g.Gaps) == 0 {
		g.Gaps = nil
	}
	if len(g.Fits) > 0 {
		g.Most = 0
	}
	if g.Settings, err = s.printSettings(r.Context(), a.On); err != nil {
		return nil, err
	}
	done, err := slot(r.Context(), s.deep)
	if err != nil {
		return nil, err
	}
	defer done()
	out, err := s.cutGauges(r.Context(), st, &a, g)
	if err != nil {
		return nil, err
	}
	return out.view, nil
}

// printSettings are those of a printer of the workshop, the common ones for none.
func (s *Server) printSettings(ctx context.Context, on string) (printable.Settings, error) {
	base := printable.Default()
	m, err := pipeline.NamedPrinter(s.cfg.Folder, on)
	if err != nil {
		return base, bad("%v", err)
	}
	if m == nil {
		return base, nil
	}
	base, err = pipeline.SettingsAt(ctx, s.cfg.Folder, base, m)
	if err != nil {
		return base, bad("%v", err)
	}
	return base, nil
}

func (s *Server) cutGauges(ctx context.Context, st *staged, a *GaugesAsked, g pipeline.GaugeOptions) (*exported, error) {
	o := s.stageOptions(st)
	var out *pipeline.GaugeOutcome
	var err error
	if len(a.Fits) == 0 && a.Most == 0 { // the plain ladder alone; in CutGauges 0 means all
		out, err = pipeline.PlainGauge(ctx, g)
	} else {
		out, err = pipeline.CutGauges(ctx, s.path(st.view.Design), o, g)
	}
	if err != nil {
		return nil, bad("%v", err)
	}
	if out.Mechanism != nil {
		if err := changedSince(out.Mechanism.SHA256, st); err != nil {
			return nil, err
		}
	}
	var notes []string
	for _, k := range out.Refused {
		notes = append(notes, fmt.Sprintf("No gauge of %s in %s (%.2f mm per side): %s.", out.Mechanism.Parts[k.Fit.Inner].Name, out.Mechanism.Parts[k.Fit.Outer].Name, k.Fit.Gap, k.Why))
	}
	files, err := out.GaugeFiles(o)
	if err != nil {
		return nil, bad("%v", err)
	}
	var rows []GaugeRow
	for i := range out.Gauges {
		rows = append(rows, gaugeRow(&out.Gauges[i]))
	}
	return s.keepExport(st, "gauges", files, notes, rows)
}

func gaugeRow(g *gauge.Gauge) GaugeRow {
	row := GaugeRow{Name: g.Name, Title: g.Title, Minutes: g.Minutes, Grams: g.Grams, Notes: append([]string{}, g.Notes...), Places: []PlaceRow{}}
	for _, p := range g.Places {
		k := PlaceRow{Label: p.Label, What: p.What, Do: p.Do, Felt: p.Felt, Gap: p.Gap, Nominal: p.Nominal}
		if p.Felt {
			k.Nominal = p.Across
		}
		row.Places = append(row.Places, k)
	}
	return row
}
