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
	"feint/internal/verdict/wording"
)

// Workshop is what the logbook holds of a design.
type Workshop struct {
	There     bool          `json:"there"` // whether there is a logbook
	Help      string        `json:"help"`  // what a line can say
	Printers  []string      `json:"printers"`
	Spools    []string      `json:"spools"`
	Outcomes  []string      `json:"outcomes"`
	Trials    []TrialRow    `json:"trials"` // the newest first
	Revisions []RevisionRow `json:"revisions"`
	Faults    []FaultRow    `json:"faults"`
	Checks    []CheckRow    `json:"checks"`
}

// TrialRow is one print.
type TrialRow struct {
	ID       int64    `json:"id"`
	At       string   `json:"at"`
	Revision int      `json:"revision"`
	With     string   `json:"with"` // printer, nozzle, spool, profile
	Outcome  string   `json:"outcome"`
	Minutes  *float64 `json:"minutes"`
	Grams    *float64 `json:"grams"`
	Words    string   `json:"words"`  // readings, parts and the note
	Photos   []int64  `json:"photos"` // to be asked for by number
}

// RevisionRow is one revision in the tree of revisions.
type RevisionRow struct {
	Number  int    `json:"number"`
	Depth   int    `json:"depth"`
	At      string `json:"at"`
	Verdict string `json:"verdict"`
	Trials  int    `json:"trials"`
	Note    string `json:"note"`
}

// FaultRow is one fault once seen.
type FaultRow struct {
	ID    int64  `json:"id"`
	At    string `json:"at"`
	Words string `json:"words"`
}

// CheckRow is one standing check.
type CheckRow struct {
	ID    int64  `json:"id"`
	Words string `json:"words"`
}

// LogLine is a line for the logbook about a design as it is set.
type LogLine struct {
	Line string       `json:"line"`
	Set  []ParamValue `json:"set"`
}

// Logged tells what a line did.
type Logged struct {
	Words []string `json:"words"`
	Deed  int64    `json:"deed"` // 0 if nothing was changed
}

// DeedNamed names a deed to take back.
type DeedNamed struct {
	Deed int64 `json:"deed"`
}

// withBook opens the workshop's logbook: the one in its folder or above it.
func (s *Server) withBook(ctx context.Context, do func(*logbook.Book) error) error {
	dir, ok := logbook.Find(s.cfg.Folder)
	if !ok {
		return gone("This workshop has no logbook yet; begin one.")
	}
	b, err := logbook.Open(ctx, dir, logbook.Options{Now: time.Now})
	if err != nil {
		return err
	}
	return errors.Join(do(b), b.Close())
}

// workshop tells what the logbook holds of a design.
func (s *Server) workshop(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	w := Workshop{
		Help: logbook.LineHelp, Printers: []string{}, Spools: []string{}, Outcomes: []string{},
		Trials: []TrialRow{}, Revisions: []RevisionRow{}, Faults: []FaultRow{}, Checks: []CheckRow{},
	}
	for _, o := range logbook.Outcomes() {
		w.Outcomes = append(w.Outcomes, string(o))
	}
	if _, ok := logbook.Find(s.cfg.Folder); !ok {
		return w, nil
	}
	w.There = true
	err := s.withBook(r.Context(), func(b *logbook.Book) error { return w.fill(r.Context(), b, strings.TrimSuffix(name, suffix)) })
	return w, err
}

func (w *Workshop) fill(ctx context.Context, b *logbook.Book, name string) error {
	v, err := logbook.Words(ctx, b, nil, nil)
	if err != nil {
		return err
	}
	w.Printers, w.Spools = append(w.Printers, v.Printers...), append(w.Spools, v.Spools...)
	d, ok, err := logbook.DesignNamed(ctx, b, name)
	if err != nil || !ok {
		return err
	}
	trials, err := logbook.LastTrials(ctx, b, 0)
	if err != nil {
		return err
	}
	for i := len(trials) - 1; i >= 0; i-- {
		if trials[i].Design != d.Name {
			continue
		}
		row, err := trialRow(ctx, b, &trials[i])
		if err != nil {
			return err
		}
		w.Trials = append(w.Trials, row)
	}
	revs, err := logbook.Revisions(ctx, b, d.ID)
	if err != nil {
		return nil //nolint:nilerr // the design is known but has no revision yet
	}
	for _, k := range logbook.Tree(revs) {
		row := RevisionRow{Number: k.Number, Depth: k.Depth, At: day(k.At), Trials: k.Trials, Note: k.Note}
		if k.Proof != nil {
			row.Verdict = k.Proof.Verdict
		}
		w.Revisions = append(w.Revisions, row)
		for _, f := range k.Faults {
			w.Faults = append(w.Faults, FaultRow{int64(f.ID), day(f.At), faultWords(&f, k.Number)})
		}
	}
	checks, err := logbook.ChecksOf(ctx, b, d.ID)
	for i := range checks {
		w.Checks = append(w.Checks, CheckRow{int64(checks[i].ID), checks[i].Rule + " " + checks[i].Wanted()})
	}
	return err
}

func day(t time.Time) string { return t.Format("2006-01-02 15:04") }

func trialRow(ctx context.Context, b *logbook.Book, t *logbook.TrialLine) (TrialRow, error) {
	row := TrialRow{ID: int64(t.ID), At: day(t.At), Revision: t.Number, Outcome: string(t.Outcome), Minutes: t.Minutes, Grams: t.Grams, Photos: []int64{}}
	var with []string
	for _, n := range t.Setup {
		if n != "" {
			with = append(with, n)
		}
	}
	row.With = strings.Join(with, ", ")
	if t.Place != "" {
		row.Outcome = strings.TrimSpace(row.Outcome + " at " + t.Place)
	}
	readings, err := logbook.All[logbook.Reading](ctx, b, "trial = ? ORDER BY id", t.ID)
	if err != nil {
		return row, err
	}
	var words []string
	for i := range readings {
		words = append(words, readingWords(&readings[i]))
	}
	if t.Note != "" {
		words = append(words, t.Note)
	}
	row.Words = strings.Join(words, "; ")
	photos, err := logbook.All[logbook.Photo](ctx, b, "trial = ? ORDER BY id", t.ID)
	for _, p := range photos {
		row.Photos = append(row.Photos, int64(p.ID))
	}
	return row, err
}

func readingWords(r *logbook.Reading) string {
	switch {
	case r.Felt != "" && r.Gap != nil:
		return strings.TrimSpace(fmt.Sprintf("%s %s mm a side feels %s", r.Feature, wording.Number(*r.Gap, 2), r.Felt))
	case r.Measured != nil && r.Nominal != nil:
		return strings.TrimSpace(fmt.Sprintf("%s %s drawn, %s measured", r.Feature, wording.Length(*r.Nominal), wording.Length(*r.Measured)))
	default:
		return string(r.Kind) + " " + r.Feature
	}
}

func faultWords(f *logbook.Fault, revision int) string {
	w := f.What
	if f.Place != "" && !strings.Contains(w, f.Place) {
		w = strings.TrimSpace(w + " at " + f.Place)
	}
	return fmt.Sprintf("%s (revision %d)", w, revision)
}

// beginBook begins a logbook in the workshop folder.
func (s *Server) beginBook(_ http.ResponseWriter, r *http.Request) (any, error) {
	b, err := logbook.Create(r.Context(), s.cfg.Folder, logbook.Options{Now: time.Now})
	if err != nil {
		return nil, bad("%v", err)
	}
	s.hub.tell("", Event{Kind: "logbook"})
	return None{}, b.Close()
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
	o := s.cfg.Options
	o.Set = settings(a.Set)
	path := s.path(name)
	m, err := pipeline.Load(path, o)
	if err != nil {
		return nil, bad("The design cannot be read, so a print of it cannot be noted: %v", err)
	}
	p := &logbook.Printed{SHA256: m.SHA256, Params: map[string]float64{}, Open: func(n string) (io.ReadCloser, error) { return s.root.Open(n) }}
	for i := range m.Params {
		p.Params[m.Params[i].Name] = m.Params[i].Value
	}
	var steps []string
	for i := range m.Steps {
		steps = append(steps, m.Steps[i].Name)
	}
	for i := range m.Parts {
		p.Parts = append(p.Parts, m.Parts[i].Name)
	}
	out := Logged{Words: []string{}}
	err = s.withBook(r.Context(), func(b *logbook.Book) (err error) {
		if p.Design, err = pipeline.LogbookDesign(r.Context(), b, path, m.Name, m.Title); err != nil {
			return err
		}
		return out.enter(r.Context(), b, p, steps, a.Line)
	})
	if err != nil {
		return nil, asked422(err)
	}
	s.hub.tell("", Event{Kind: "logbook"})
	return out, nil
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

// enter reads a line and does it.
func (out *Logged) enter(ctx context.Context, b *logbook.Book, p *logbook.Printed, steps []string, text string) error {
	v, err := logbook.Words(ctx, b, p.Parts, steps)
	if err != nil {
		return err
	}
	v.Now = time.Now()
	line, err := logbook.ReadLine(text, v)
	if err != nil {
		return err
	}
	var e *logbook.Entered
	deed, err := b.Do(ctx, strings.TrimSpace("log "+p.Design.Name+" "+text), func(t *logbook.Tx) (err error) {
		e, err = logbook.Enter(ctx, t, p, line)
		return err
	})
	if err != nil {
		return err
	}
	out.Deed = int64(deed)
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

// maxPhoto is the largest photo that is taken, bytes.
const maxPhoto = 20 << 20

// keepPhoto keeps a photo of a trial.
func (s *Server) keepPhoto(_ http.ResponseWriter, r *http.Request) (any, error) {
	id, err := number(r.PathValue("trial"))
	if err != nil {
		return nil, err
	}
	err = s.withBook(r.Context(), func(b *logbook.Book) error {
		_, err := b.Do(r.Context(), "photo from the bench", func(t *logbook.Tx) error {
			if _, err := logbook.Get[logbook.Trial](r.Context(), t, logbook.ID(id)); err != nil {
				return err
			}
			return logbook.KeepPhoto(t, r.Body, &logbook.Photo{Trial: logbook.ID(id), Name: "from the bench"})
		})
		return err
	})
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return nil, large
	}
	if err != nil {
		return nil, asked422(err)
	}
	s.hub.tell("", Event{Kind: "logbook"})
	return None{}, nil
}

func number(text string) (int64, error) {
	var n int64
	if _, err := fmt.Sscanf(text, "%d", &n); err != nil || n <= 0 || fmt.Sprint(n) != text {
		return 0, bad("%q is no number of a record.", text)
	}
	return n, nil
}

// photo sends the small picture of a photo.
func (s *Server) photo(w http.ResponseWriter, r *http.Request) (any, error) {
	id, err := number(r.PathValue("photo"))
	if err != nil {
		return nil, err
	}
	return nil, s.withBook(r.Context(), func(b *logbook.Book) error {
		p, err := logbook.Get[logbook.Photo](r.Context(), b, logbook.ID(id))
		if err != nil {
			return gone("There is no such photo.")
		}
		http.ServeFile(w, r, b.ThumbFile(&p))
		return nil
	})
}
