package server

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"feint/internal/logbook"
)

// ReadingsGiven are readings of one print, to be kept in the logbook.
type ReadingsGiven struct {
	Gauge    string         `json:"gauge"` // what was printed, such as plain-ladder; "" adds them to the last print of the design
	Printer  string         `json:"printer"`
	Nozzle   string         `json:"nozzle"` // "" is as on the print before, as for the others
	Spool    string         `json:"spool"`
	Profile  string         `json:"profile"`
	Set      []ParamValue   `json:"set"`
	Readings []ReadingGiven `json:"readings"`
}

// ReadingGiven is one size measured, or one fit felt.
type ReadingGiven struct {
	Kind        string   `json:"kind"`    // bore, peg, gap, slot, wall, length, height
	Feature     string   `json:"feature"` // "hole 0.20", "ring 3"
	Nominal     *float64 `json:"nominal_mm"`
	Gap         *float64 `json:"gap_mm"` // drawn, per side, of a felt fit
	Measured    *float64 `json:"measured_mm"`
	Uncertainty *float64 `json:"uncertainty_mm"` // half the width of the interval trusted with 95 %
	Felt        string   `json:"felt"`           // stuck, tight, slides, loose; "" if it was measured
}

// mostReadings is how many readings are taken at once.
const mostReadings = 200

// logReadings keeps readings: of a gauge as a print of its own, or of the last print.
func (s *Server) logReadings(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	var a ReadingsGiven
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	line, err := a.line()
	if err != nil {
		return nil, err
	}
	out := Logged{Words: []string{}}
	err = s.printOf(r.Context(), name, a.Set, func(b *logbook.Book, p *logbook.Printed, _ []string) error {
		if err := a.known(r.Context(), b); err != nil {
			return err
		}
		return out.enter(r.Context(), b, p, line, fmt.Sprintf("log %s %d readings", p.Design.Name, len(line.Readings)))
	})
	if err != nil {
		return nil, asked422(err)
	}
	s.noted(r.Context(), name)
	return out, nil
}

// line is what the form says, as a line of the logbook would.
func (a *ReadingsGiven) line() (*logbook.Line, error) {
	switch {
	case len(a.Readings) == 0:
		return nil, bad("No reading is filled in: feel or measure at least one place.")
	case len(a.Readings) > mostReadings:
		return nil, bad("At most %d readings are taken at once.", mostReadings)
	case strings.ContainsAny(a.Gauge, "\n\r\t") || len(a.Gauge) > 100:
		return nil, bad("%q is no name of a gauge.", a.Gauge)
	}
	l := &logbook.Line{New: a.Gauge != "", Printer: a.Printer, Nozzle: a.Nozzle, Spool: a.Spool, Profile: a.Profile}
	if a.Gauge != "" {
		l.Parts = []string{"gauge " + a.Gauge}
	}
	for i := range a.Readings {
		k := &a.Readings[i]
		r := logbook.Reading{
			Kind: logbook.Feature(k.Kind), Feature: strings.TrimSpace(k.Feature), Nominal: k.Nominal, Gap: k.Gap,
			Measured: k.Measured, Uncertainty: k.Uncertainty, Felt: logbook.Felt(k.Felt),
		}
		if err := k.check(&r); err != nil {
			return nil, bad("Reading %d, %s %s: %v.", i+1, k.Kind, k.Feature, err)
		}
		l.Readings = append(l.Readings, r)
	}
	return l, nil
}

// farOff is how far a measured size may lie from the drawn one, mm: as the fit takes
// it; more is another feature or another unit.
const farOff = 3.0

func (k *ReadingGiven) check(r *logbook.Reading) error {
	switch {
	case !slices.Contains(logbook.Features(), r.Kind):
		return fmt.Errorf("a reading is of one of %v", logbook.Features())
	case (r.Felt == "") == (r.Measured == nil):
		return fmt.Errorf("say what was measured or how it feels, one of the two")
	case r.Felt != "" && (r.Gap == nil || *r.Gap < -2 || *r.Gap > 2):
		return fmt.Errorf("a felt fit needs its drawn gap per side, mm")
	case r.Measured != nil && r.Nominal != nil && (*r.Measured-*r.Nominal > farOff || *r.Nominal-*r.Measured > farOff):
		return fmt.Errorf("measured %g mm where %g is drawn: another place, or a slip", *r.Measured, *r.Nominal)
	case r.Uncertainty != nil && !(*r.Uncertainty > 0 && *r.Uncertainty < 2):
		return fmt.Errorf("an uncertainty of %g mm is none", *r.Uncertainty)
	}
	return nil
}

// known refuses a printer that the logbook does not know, before anything is done.
func (a *ReadingsGiven) known(ctx context.Context, b *logbook.Book) error {
	if a.Printer == "" {
		return nil
	}
	if _, err := logbook.Named[logbook.Printer](ctx, b, a.Printer); err != nil {
		return fmt.Errorf("%w; add it to the workshop first", err)
	}
	return nil
}
