package server

import (
	"context"
	"errors"
	"fmt"
	"net/http"
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
	Nozzles   []string      `json:"nozzles"`
	Spools    []string      `json:"spools"`
	Profiles  []string      `json:"profiles"`
	Outcomes  []string      `json:"outcomes"`
	Features  []string      `json:"features"` // kinds of feature that are measured
	Felts     []string      `json:"felts"`
	Bounds    []string      `json:"bounds"` // what a standing check can be of
	Trials    []TrialRow    `json:"trials"` // the newest first
	Readings  []ReadingRow  `json:"readings"`
	Solves    []SolveRow    `json:"solves"`
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
	Words    string   `json:"words"`  // parts, scale, copies and the note
	Photos   []int64  `json:"photos"` // to be asked for by number
}

// ReadingRow is one size measured or one fit felt.
type ReadingRow struct {
	ID    int64  `json:"id"`
	Trial int64  `json:"trial"`
	Words string `json:"words"`
}

// SolveRow is one attempt of a person.
type SolveRow struct {
	ID       int64  `json:"id"`
	At       string `json:"at"`
	Revision int    `json:"revision"`
	Words    string `json:"words"`
}

// RevisionRow is one revision in the tree of revisions.
type RevisionRow struct {
	ID       int64   `json:"id"`
	Number   int     `json:"number"`
	Depth    int     `json:"depth"`
	Parent   int     `json:"parent"` // the number of the revision it was made from, 0 for none
	At       string  `json:"at"`
	Question string  `json:"question"` // what it was to answer
	Words    string  `json:"words"`    // verdict, limits, yield, prints, faults, solves
	Note     string  `json:"note"`
	Here     bool    `json:"here"` // it is the design as the proof asked with shows it
	Photos   []int64 `json:"photos"`
}

// FaultRow is one fault once seen.
type FaultRow struct {
	ID       int64   `json:"id"`
	At       string  `json:"at"`
	Revision int     `json:"revision"`
	Words    string  `json:"words"`
	Cause    string  `json:"cause"`
	Cure     string  `json:"cure"`
	CuredIn  int     `json:"cured_in"` // revision, 0 for none
	Rule     string  `json:"rule"`     // what foretells it, "" if that is not said
	Photos   []int64 `json:"photos"`
}

// CheckRow is one standing check.
type CheckRow struct {
	ID     int64  `json:"id"`
	Words  string `json:"words"`
	Fault  string `json:"fault"` // what it came of
	Rests  bool   `json:"rests"`
	Answer string `json:"answer"` // of the proof asked with: holds, returns, untold; "" if none was
	Why    string `json:"why"`
}

// withBook opens the workshop's logbook to write: the one in its folder or above it.
func (s *Server) withBook(ctx context.Context, do func(*logbook.Book) error) error {
	dir, ok := logbook.Find(s.cfg.Folder)
	if !ok {
		return noBook()
	}
	b, err := logbook.Open(ctx, dir, logbook.Options{Now: time.Now})
	if err != nil {
		return err
	}
	if s.cfg.Wrote != nil {
		err = s.cfg.Wrote(ctx, b)
	}
	if err == nil {
		err = do(b)
	}
	return errors.Join(err, b.Close())
}

func noBook() error { return gone("This workshop has no logbook yet; begin one.") }

// lookBook opens it to read; one that came with a stranger's folder stays as it lies.
func (s *Server) lookBook(ctx context.Context, do func(*logbook.Book) error) error {
	dir, ok := logbook.Find(s.cfg.Folder)
	if !ok {
		return noBook()
	}
	b, err := logbook.Open(ctx, dir, logbook.Options{ReadOnly: true})
	if err != nil {
		return bad("The logbook cannot be read: %v", err)
	}
	return errors.Join(do(b), b.Close())
}

// workshop tells what the logbook holds of a design.
func (s *Server) workshop(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	w := newWorkshop()
	if _, ok := logbook.Find(s.cfg.Folder); !ok {
		return w, nil
	}
	w.There = true
	var p *Proof
	if id := r.URL.Query().Get("proof"); id != "" {
		if k, err := s.proof(id); err == nil && k.Proof.Document.Design.Name == strings.TrimSuffix(name, suffix) {
			p = k.Proof
		}
	}
	err := s.lookBook(r.Context(), func(b *logbook.Book) error {
		k := &filler{ctx: r.Context(), b: b, w: &w, proof: p, path: s.path(name)}
		return k.fill(strings.TrimSuffix(name, suffix))
	})
	return w, err
}

func newWorkshop() Workshop {
	w := Workshop{
		Help: logbook.LineHelp, Printers: []string{}, Nozzles: []string{}, Spools: []string{}, Profiles: []string{}, Bounds: logbook.Quantities(),
		Trials: []TrialRow{}, Readings: []ReadingRow{}, Solves: []SolveRow{}, Revisions: []RevisionRow{}, Faults: []FaultRow{}, Checks: []CheckRow{},
	}
	for _, o := range logbook.Outcomes() {
		w.Outcomes = append(w.Outcomes, string(o))
	}
	for _, f := range logbook.Features() {
		w.Features = append(w.Features, string(f))
	}
	for _, f := range logbook.Felts() {
		w.Felts = append(w.Felts, string(f))
	}
	return w
}

// filler fills in a workshop from its logbook.
type filler struct {
	ctx   context.Context //nolint:containedctx // lives as long as one question
	b     *logbook.Book
	w     *Workshop
	proof *Proof // of the design as the page shows it; nil if none was named
	path  string
}

func (k *filler) fill(name string) error {
	w := k.w
	v, err := logbook.Words(k.ctx, k.b, nil, nil)
	if err != nil {
		return err
	}
	w.Printers, w.Nozzles = append(w.Printers, v.Printers...), append(w.Nozzles, v.Nozzles...)
	w.Spools, w.Profiles = append(w.Spools, v.Spools...), append(w.Profiles, v.Profiles...)
	d, ok, err := logbook.DesignNamed(k.ctx, k.b, name)
	if err != nil || !ok {
		return err
	}
	trials, err := logbook.LastTrials(k.ctx, k.b, 0)
	if err != nil {
		return err
	}
	for i := len(trials) - 1; i >= 0; i-- {
		if trials[i].Design != d.Name {
			continue
		}
		if err := k.trial(&trials[i]); err != nil {
			return err
		}
	}
	revs, err := logbook.Revisions(k.ctx, k.b, d.ID)
	if err != nil {
		return nil //nolint:nilerr // the design is known but has no revision yet
	}
	if err := k.revisions(revs); err != nil {
		return err
	}
	return k.checks(d.ID)
}

func day(t time.Time) string { return t.Format("2006-01-02 15:04") }

func (k *filler) trial(t *logbook.TrialLine) error {
	row := TrialRow{ID: int64(t.ID), At: day(t.At), Revision: t.Number, Outcome: string(t.Outcome), Minutes: t.Minutes, Grams: t.Grams}
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
	var words []string
	if len(t.Parts) > 0 {
		words = append(words, "only "+strings.Join(t.Parts, " + "))
	}
	if t.Scale != 1 {
		words = append(words, fmt.Sprintf("scale %g", t.Scale))
	}
	if t.Copies > 1 {
		words = append(words, fmt.Sprintf("%d copies", t.Copies))
	}
	if t.Note != "" {
		words = append(words, t.Note)
	}
	row.Words = strings.Join(words, ", ")
	readings, err := logbook.All[logbook.Reading](k.ctx, k.b, "trial = ? ORDER BY id", t.ID)
	if err != nil {
		return err
	}
	for i := range readings {
		k.w.Readings = append(k.w.Readings, ReadingRow{int64(readings[i].ID), int64(t.ID), readingWords(&readings[i])})
	}
	row.Photos, err = k.photos("trial", t.ID)
	k.w.Trials = append(k.w.Trials, row)
	return err
}

func pick(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

func (k *filler) photos(of string, id logbook.ID) ([]int64, error) {
	out := []int64{}
	ps, err := logbook.All[logbook.Photo](k.ctx, k.b, of+" = ? ORDER BY id", id)
	for _, p := range ps {
		out = append(out, int64(p.ID))
	}
	return out, err
}

func readingWords(r *logbook.Reading) string {
	feature := r.Feature
	if feature == "" {
		feature = string(r.Kind)
	}
	out := feature
	switch {
	case r.Felt != "" && r.Gap != nil:
		out = fmt.Sprintf("%s, %s mm a side, feels %s", feature, wording.Number(*r.Gap, 3), r.Felt)
	case r.Measured != nil:
		out = fmt.Sprintf("%s %s, measured %s", r.Kind, r.Feature, wording.Length(*r.Measured))
		if r.Nominal != nil {
			out = fmt.Sprintf("%s %s, drawn %s, measured %s", r.Kind, r.Feature, wording.Length(*r.Nominal), wording.Length(*r.Measured))
		}
		if r.Uncertainty != nil {
			out += fmt.Sprintf(" ± %s", wording.Length(*r.Uncertainty))
		}
	}
	if r.Note != "" {
		out += "; " + r.Note
	}
	return strings.ReplaceAll(out, " ,", ",")
}

func (k *filler) revisions(revs []logbook.SumOf) error {
	number := map[logbook.ID]int{}
	for i := range revs {
		number[revs[i].ID] = revs[i].Number
	}
	for _, t := range logbook.Tree(revs) {
		photos, err := k.photos("revision", t.ID)
		if err != nil {
			return err
		}
		k.w.Revisions = append(k.w.Revisions, RevisionRow{
			ID: int64(t.ID), Number: t.Number, Depth: t.Depth, Parent: number[t.Parent], At: day(t.At), Question: t.Question,
			Words: strings.Join(pipeline.RevisionWords(&t.SumOf), "; "), Note: t.Note, Photos: photos,
			Here: k.proof != nil && k.proof.Document.DesignSHA256 == t.SHA256,
		})
		for i := range t.Faults {
			if err := k.fault(&t.Faults[i], t.Number, number); err != nil {
				return err
			}
		}
		for i := range t.Solves {
			v := &t.Solves[i]
			k.w.Solves = append(k.w.Solves, SolveRow{int64(v.ID), day(v.At), t.Number, solveWords(v)})
		}
	}
	return nil
}

func (k *filler) fault(f *logbook.Fault, revision int, number map[logbook.ID]int) error {
	words := f.What
	if f.Place != "" && !strings.Contains(words, f.Place) {
		words = strings.TrimSpace(words + " at " + f.Place)
	}
	photos, err := k.photos("fault", f.ID)
	k.w.Faults = append(k.w.Faults, FaultRow{
		ID: int64(f.ID), At: day(f.At), Revision: revision, Words: words, Cause: f.Cause, Cure: f.Cure, CuredIn: number[f.CuredIn], Rule: f.Rule, Photos: photos,
	})
	return err
}

func solveWords(v *logbook.Solve) string {
	out := pick(v.GaveUp, "gave up", "solved")
	if v.Who != "" {
		out = v.Who + " " + out
	}
	if v.Minutes != nil {
		out += fmt.Sprintf(" after %g min", *v.Minutes)
	}
	if v.Hints > 0 {
		out += ", " + wording.Count(v.Hints, "hint")
	}
	if v.Note != "" {
		out += "; " + v.Note
	}
	return out
}

// checks lists the standing checks, each with what it says of the proof at hand.
func (k *filler) checks(id logbook.ID) error {
	all, err := logbook.All[logbook.Check](k.ctx, k.b, "design = ? ORDER BY id", id)
	if err != nil {
		return err
	}
	answers := map[int][2]string{}
	if k.proof != nil {
		d := k.proof.Document
		d.Standing = nil
		if err := pipeline.AskStanding(k.ctx, k.b, k.path, &d); err != nil {
			return bad("%v", err)
		}
		for _, a := range d.Standing {
			answers[a.Check] = [2]string{a.Answer, a.Why}
		}
	}
	for i := range all {
		c := &all[i]
		row := CheckRow{ID: int64(c.ID), Words: c.Rule + " " + c.Wanted(), Rests: c.Rests, Answer: answers[int(c.ID)][0], Why: answers[int(c.ID)][1]}
		if len(c.Parts) > 0 {
			row.Words += " for " + strings.Join(c.Parts, " and ")
		}
		for _, f := range k.w.Faults {
			if f.ID == int64(c.Fault) {
				row.Fault = fmt.Sprintf("%s (fault %d, revision %d)", f.Words, f.ID, f.Revision)
			}
		}
		k.w.Checks = append(k.w.Checks, row)
	}
	return nil
}
