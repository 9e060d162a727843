package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"path/filepath"
	"slices"
	"strings"

	"feint/internal/cache"
	"feint/internal/calibrate"
	"feint/internal/export"
	"feint/internal/logbook"
	"feint/internal/pipeline"
	"feint/internal/printed"
	"feint/internal/verdict/wording"
)

// Printers are those of the workshop.
type Printers struct {
	File     string       `json:"file"` // where the settings stand, "" if nowhere yet
	Printers []PrinterRow `json:"printers"`
}

// PrinterRow is one setting of printers.toml, or a printer of the logbook of which no
// setting speaks.
type PrinterRow struct {
	Name      string         `json:"name"`
	Setting   bool           `json:"setting"`   // it stands in printers.toml
	Preferred bool           `json:"preferred"` // it is meant where none is named
	With      string         `json:"with"`      // printer, nozzle, spool, profile
	Growth    string         `json:"growth"`    // in plane, mm a surface, with its spreads, in words
	Grade     string         `json:"grade"`     // ISO tolerance grade of 20 mm
	From      string         `json:"from"`
	Readings  int            `json:"readings"` // of the logbook, from which it can be learnt
	Left      int            `json:"left"`     // readings that teach nothing: slots, and sizes without the drawn one
	Learnt    *export.Figure `json:"learnt"`   // what they teach; null without readings
	Words     string         `json:"words"`    // why they teach nothing, "" if they do
}

// LearnAsked says which setting is learnt anew.
type LearnAsked struct {
	Name    string `json:"name"`
	Printer string `json:"printer"` // of the logbook, where the setting is new
	Spool   string `json:"spool"`
	Profile string `json:"profile"`
}

// Learnt tells what was written.
type Learnt struct {
	Words []string `json:"words"`
}

// keepFits is how many fits are kept at hand.
const keepFits = 32

// printersKnown tells what is known of every printer, with the same numbers as feint
// printer and feint printer learn.
func (s *Server) printersKnown(_ http.ResponseWriter, r *http.Request) (any, error) {
	ms, file, err := pipeline.FindPrinters(s.cfg.Folder)
	if err != nil {
		return nil, bad("%v", err)
	}
	out := Printers{Printers: []PrinterRow{}}
	prefers, err := pipeline.NamedPrinter(s.cfg.Folder, "")
	if err != nil {
		return nil, bad("%v", err)
	}
	if file != "" {
		out.File = filepath.Base(file)
		if filepath.Dir(file) != filepath.Clean(s.cfg.Folder) {
			out.File = "a folder above the workshop"
		}
	}
	err = s.lookBook(r.Context(), func(b *logbook.Book) error { return out.fill(r.Context(), s, b, ms, prefers) })
	var f *failure
	if errors.As(err, &f) && f.status == http.StatusNotFound { // no logbook: the settings alone
		err = out.fill(r.Context(), s, nil, ms, prefers)
	}
	return out, err
}

func (p *Printers) fill(ctx context.Context, s *Server, b *logbook.Book, ms []*printed.Model, prefers *printed.Model) error {
	known := map[string]bool{}
	for _, m := range ms {
		known[m.Printer] = true
		row := settingRow(m)
		row.Setting, row.Preferred = true, prefers != nil && prefers.Name == m.Name
		if err := s.teach(ctx, b, &row, m.Name, m, ""); err != nil {
			return err
		}
		p.Printers = append(p.Printers, row)
	}
	if b == nil {
		return nil
	}
	v, err := logbook.Words(ctx, b, nil, nil)
	if err != nil {
		return err
	}
	for _, name := range v.Printers {
		if known[name] {
			continue
		}
		row := PrinterRow{Name: name, With: name, Growth: "not learnt yet", From: "the logbook"}
		if err := s.teach(ctx, b, &row, name, nil, name); err != nil {
			return err
		}
		p.Printers = append(p.Printers, row)
	}
	return nil
}

// settingRow is a setting as feint printer lists it.
func settingRow(m *printed.Model) PrinterRow {
	a := m.Amounts[printed.InPlane]
	row := PrinterRow{Name: m.Name, From: m.Source, Grade: "beyond IT18"}
	row.Growth = fmt.Sprintf("%+.3f, prints +-%.3f, features +-%.3f", a.Mean, a.Prints, a.Features)
	if g, ok := m.Grade(gradedSize, ""); ok {
		row.Grade = fmt.Sprintf("IT%d", g)
	}
	var with []string
	for _, n := range []string{m.Printer, m.Spool, m.Profile} {
		if n != "" {
			with = append(with, n)
		}
	}
	if m.Nozzle > 0 {
		with = append(with, fmt.Sprintf("nozzle %g mm", m.Nozzle))
	}
	row.With = strings.Join(with, ", ")
	return row
}

// gradedSize is the size of which the tolerance grade is told, mm.
const gradedSize = 20

// teach adds what the readings of the logbook teach of a setting.
func (s *Server) teach(ctx context.Context, b *logbook.Book, row *PrinterRow, name string, old *printed.Model, printer string) error {
	if b == nil {
		row.Words = "There is no logbook yet to take readings from."
		return nil
	}
	base, err := pipeline.LearnBase(name, nil, old)
	if err != nil {
		row.Words = err.Error()
		return nil
	}
	if printer != "" {
		base.Printer = printer
	}
	rs, left, err := pipeline.LoggedReadings(ctx, b, base)
	row.Readings, row.Left = len(rs), left
	switch {
	case len(rs) == 0:
		row.Words = "There are no readings of it in the logbook yet: print a gauge and enter what it shows."
		return nil
	case err != nil:
		row.Words = err.Error()
		return nil
	}
	fit, err := s.fit(base, rs)
	if err != nil {
		row.Words = err.Error()
		return nil
	}
	row.Learnt, err = export.LearntFigure(fit, rs)
	return err
}

// fit learns from readings, or takes what was learnt from the same before.
func (s *Server) fit(base *printed.Model, rs []calibrate.Reading) (*calibrate.Result, error) {
	raw, err := json.Marshal([]any{base, rs})
	if err != nil {
		return nil, err
	}
	key := cache.Key("learnt", string(raw))
	if r, ok := s.runs.fits.Get(key); ok {
		return r, nil
	}
	r, err := calibrate.FitReadings(base, rs)
	if err == nil {
		s.runs.fits.Put(key, r)
	}
	return r, err
}

// learn writes what the readings of the logbook teach into printers.toml. It is written
// in the workshop folder only.
func (s *Server) learn(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a LearnAsked
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	ms, file, err := pipeline.FindPrinters(s.cfg.Folder)
	if err != nil {
		return nil, bad("%v", err)
	}
	if file != "" && filepath.Dir(file) != filepath.Clean(s.cfg.Folder) {
		return nil, bad("%s lies above the workshop folder, and the page writes only in it; say: feint printer learn %q", printed.FileName, a.Name)
	}
	var old *printed.Model
	if i := slices.IndexFunc(ms, func(m *printed.Model) bool { return m.Name == a.Name }); i >= 0 {
		old = ms[i]
	}
	base, err := pipeline.LearnBase(a.Name, nil, old)
	if err != nil {
		return nil, bad("%v", err)
	}
	if old == nil {
		base.Printer, base.Spool, base.Profile = a.Printer, a.Spool, a.Profile
	}
	var rs []calibrate.Reading
	var left int
	err = s.lookBook(r.Context(), func(b *logbook.Book) (err error) {
		rs, left, err = pipeline.LoggedReadings(r.Context(), b, base)
		return err
	})
	switch {
	case len(rs) == 0 && (err == nil || left > 0):
		return nil, bad("The logbook has no readings with the printer, spool and profile of %q from which it could be learnt.", a.Name)
	case err != nil:
		return nil, asked422(err)
	}
	fit, err := s.fit(base, rs)
	if err != nil {
		return nil, bad("%v", err)
	}
	m := fit.Model.Clone() // fit is kept for others
	m.Name = a.Name
	if err := s.writeSetting(m); err != nil {
		return nil, err
	}
	s.hub.tell("", Event{Kind: "printers"})
	words := []string{fmt.Sprintf("%q is learnt from %s, and stands in %s.", a.Name, wording.Count(len(rs), "reading"), printed.FileName)}
	return Learnt{append(words, fit.Doubts()...)}, nil
}

// writeSetting puts a setting into the workshop's printers.toml, whole or not at all.
func (s *Server) writeSetting(m *printed.Model) error {
	s.saving.Lock()
	defer s.saving.Unlock()
	old, err := s.root.ReadFile(printed.FileName)
	fresh := errors.Is(err, fs.ErrNotExist)
	if err != nil && !fresh {
		return bad("%s cannot be read: %v", printed.FileName, err)
	}
	text, err := printed.PutSetting(printed.FileName, old, m)
	if err != nil {
		return bad("%v", err)
	}
	if !fresh {
		return s.replace(printed.FileName, text, digest(old))
	}
	f, err := s.root.OpenFile(printed.FileName, writeNew, 0o644)
	if err != nil {
		return bad("%s cannot be written: %v", printed.FileName, err)
	}
	_, err = bytes.NewReader(text).WriteTo(f)
	return errors.Join(err, f.Sync(), f.Close())
}
