package server

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"sort"
	"strings"
	"time"

	"feint/internal/logbook"
	"feint/internal/pipeline"
)

// LogLine is a line for the logbook about a design as it is set.
type LogLine struct {
	Line string       `json:"line"`
	Set  []ParamValue `json:"set"`
}

// Logged tells what a line did.
type Logged struct {
	Words []string `json:"words"`
	Deed  int64    `json:"deed"`  // 0 if nothing was changed
	Trial int64    `json:"trial"` // the print that it is about
	Fault int64    `json:"fault"` // the fault that it told, 0 for none
}

// DeedNamed names a deed to take back.
type DeedNamed struct {
	Deed int64 `json:"deed"`
}

// beginBook begins a logbook in the workshop folder.
func (s *Server) beginBook(_ http.ResponseWriter, r *http.Request) (any, error) {
	b, err := logbook.Create(r.Context(), s.cfg.Folder, logbook.Options{Now: time.Now})
	if err != nil {
		return nil, bad("%v", err)
	}
	if s.cfg.Wrote != nil {
		err = s.cfg.Wrote(r.Context(), b)
	}
	s.hub.tell("", Event{Kind: "logbook"})
	return None{}, errors.Join(err, b.Close())
}

// logLine does what a line says, as feint log does.
func (s *Server) logLine(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	var a LogLine
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	out := Logged{Words: []string{}}
	err := s.printOf(r.Context(), name, a.Set, func(b *logbook.Book, p *logbook.Printed, steps []string) error {
		return out.line(r.Context(), b, p, steps, a.Line)
	})
	if err != nil {
		return nil, asked422(err)
	}
	s.noted(r.Context(), name)
	return out, nil
}

// noted tells the tabs that the logbook changed, and keeps what is proved of a revision
// that is new in it.
func (s *Server) noted(ctx context.Context, name string) {
	for _, p := range s.runs.proofs.All() {
		if p.Proof.Document.Design.Name == strings.TrimSuffix(name, suffix) {
			s.keepKnown(ctx, name, p.Proof)
		}
	}
	s.hub.tell("", Event{Kind: "logbook"})
}

// printOf opens the logbook for something about a print of a design as it is set.
func (s *Server) printOf(ctx context.Context, name string, set []ParamValue, do func(*logbook.Book, *logbook.Printed, []string) error) error {
	o := s.cfg.Options
	o.Set = settings(set)
	path := s.path(name)
	if _, err := s.read(name); err != nil {
		return err
	}
	m, err := pipeline.Load(path, o)
	if err != nil {
		return bad("The design cannot be read, so a print of it cannot be noted: %v", err)
	}
	return s.withBook(ctx, func(b *logbook.Book) error {
		p, steps, err := pipeline.LogbookPrint(ctx, b, path, m, func(n string) (io.ReadCloser, error) { return s.root.Open(n) })
		if err != nil {
			return err
		}
		return do(b, p, steps)
	})
}

// asked422 keeps the words of a refusal that has some; any other error of the
// logbook speaks of the line.
func asked422(err error) error {
	var f *failure
	if errors.As(err, &f) {
		return f
	}
	return bad("%v", err)
}

// line reads a line and does it.
func (out *Logged) line(ctx context.Context, b *logbook.Book, p *logbook.Printed, steps []string, text string) error {
	line, err := logbook.Understand(ctx, b, p.Parts, steps, text, time.Now())
	if err != nil {
		return err
	}
	return out.enter(ctx, b, p, line, "log "+p.Design.Name+" "+text)
}

// enter does what a line says.
func (out *Logged) enter(ctx context.Context, b *logbook.Book, p *logbook.Printed, line *logbook.Line, what string) error {
	var e *logbook.Entered
	deed, err := b.Do(ctx, strings.TrimSpace(what), func(t *logbook.Tx) (err error) {
		e, err = logbook.Enter(ctx, t, p, line)
		return err
	})
	if err != nil {
		return err
	}
	out.Deed, out.Trial, out.Fault = int64(deed), int64(e.Trial.ID), int64(e.Fault)
	out.Words = append(out.Words, line.Read...)
	switch {
	case deed == 0:
		out.Words = append(out.Words, fmt.Sprintf("Trial %d has all this already; nothing was changed.", e.Trial.ID))
	case e.Fresh:
		out.Words = append(out.Words, fmt.Sprintf("Trial %d of revision %d is noted.", e.Trial.ID, e.Revision.Number))
	default:
		out.Words = append(out.Words, fmt.Sprintf("Added to trial %d of revision %d.", e.Trial.ID, e.Revision.Number))
	}
	if e.AsLast {
		var with []string
		for _, n := range e.Setup {
			if n != "" {
				with = append(with, n)
			}
		}
		sort.Strings(with)
		out.Words = append(out.Words, "Printed as last time: "+strings.Join(with, ", ")+".")
	}
	return nil
}

// undoDeed takes a deed of the logbook back.
func (s *Server) undoDeed(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a DeedNamed
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	err := s.withBook(r.Context(), func(b *logbook.Book) error {
		_, err := b.Undo(r.Context(), logbook.ID(a.Deed))
		return err
	})
	if err != nil {
		return nil, asked422(err)
	}
	s.hub.tell("", Event{Kind: "logbook"})
	return None{}, nil
}
