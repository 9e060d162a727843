package server

import (
	"context"
	"time"

	"feint/internal/export"
	"feint/internal/logbook"
	"feint/internal/pipeline"
)

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
