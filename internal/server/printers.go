package server

import (
	"context"
	"net/http"
	"path/filepath"
	"time"

	"feint/internal/export"
	"feint/internal/logbook"
	"feint/internal/pipeline"
	"feint/internal/printed"
)

// settings tells the bench which settings there are. What is wrong with their file stands
// on the fit window.
func (s *Server) settings(b *Bench) {
	b.Printers, b.Settings, b.Fixed = []string{}, []PrinterSetting{}, s.cfg.Fixed
	ms, _, err := pipeline.FindPrinters(s.cfg.Folder)
	if err != nil {
		return
	}
	for _, m := range ms {
		g, _ := pipeline.SpanOf(m)
		b.Printers = append(b.Printers, m.Name)
		b.Settings = append(b.Settings, PrinterSetting{Name: m.Name, With: settingRow(m).With, Growth: Range{g[0], g[1]}})
	}
	if m, err := pipeline.NamedPrinter(s.cfg.Folder, ""); err == nil && m != nil {
		b.Preferred = m.Name
	}
}

// prefer writes into printers.toml which setting the workshop prefers, as feint printer
// prefer does.
func (s *Server) prefer(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a Preference
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	_, file, err := pipeline.FindPrinters(s.cfg.Folder)
	switch {
	case err != nil:
		return nil, bad("%v", err)
	case file == "":
		return nil, bad("The workshop has no %s yet; learn a printer first.", printed.FileName)
	case filepath.Dir(file) != filepath.Clean(s.cfg.Folder):
		return nil, bad("%s lies above the workshop folder, and the page writes only in it; say: feint printer prefer %q", printed.FileName, a.Name)
	}
	s.saving.Lock()
	defer s.saving.Unlock()
	old, err := s.root.ReadFile(printed.FileName)
	if err != nil {
		return nil, bad("%s cannot be read: %v", printed.FileName, err)
	}
	text, err := printed.SetPreferred(printed.FileName, old, a.Name)
	if err != nil {
		return nil, bad("%v", err)
	}
	if err := s.replace(printed.FileName, text, digest(old)); err != nil {
		return nil, err
	}
	s.hub.tell("", Event{Kind: "printers"})
	return None{}, nil
}

// printers are those of the workshop: the settings of printers.toml, and the printers
// of the logbook that no setting speaks of. What cannot be read is left out; feint
// printer tells why.
func (s *Server) printers() []export.Printer {
	ms, file, err := pipeline.FindPrinters(s.cfg.Folder)
	if err != nil {
		return []export.Printer{{Name: "printers.toml", From: err.Error()}}
	}
	out := pipeline.OnScale(ms)
	known := map[string]bool{}
	for i, m := range ms {
		known[m.Name], known[m.Printer] = true, true
		if out[i].From == "" {
			out[i].From = file
		}
	}
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Second)
	defer stop()
	if _, ok := logbook.Find(s.cfg.Folder); !ok {
		return out
	}
	_ = s.lookBook(ctx, func(b *logbook.Book) error { // a logbook that cannot be read is told of elsewhere
		v, err := logbook.Words(ctx, b, nil, nil)
		if err != nil {
			return err
		}
		for _, n := range v.Printers {
			if !known[n] {
				out = append(out, export.Printer{Name: n, From: "the logbook has no gauge readings fitted yet: feint gauge, then feint printer fit"})
			}
		}
		return nil
	})
	return out
}
