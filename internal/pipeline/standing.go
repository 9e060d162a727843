package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"feint/internal/export"
	"feint/internal/logbook"
	"feint/internal/mechanism"
	"feint/internal/verdict"
)

// ProofRecord is a proof as the logbook keeps it.
func ProofRecord(d *export.Document) logbook.Proof {
	p := logbook.Proof{
		SHA256: d.DesignSHA256, Version: d.FeintVersion, GrowthLo: d.Growth.Lo, GrowthHi: d.Growth.Hi,
		Verdict: d.Verdict, Certified: d.Certified, Moves: d.Moves, MovesLeast: d.MovesLeast, Strokes: d.Strokes,
	}
	if k := d.Printing; k != nil && k.Complete {
		p.Minutes, p.Grams = &k.Model, &k.Grams
	}
	p.LeakLo, p.LeakHi = ends(d.Fit.LeakLimit)
	p.PlayLo, p.PlayHi = ends(d.Fit.PlayLimit)
	p.BindLo, p.BindHi = ends(d.Fit.BindLimit)
	for i := range d.Parts {
		p.Parts = append(p.Parts, d.Parts[i].Name)
	}
	for i := range d.Steps {
		p.Steps = append(p.Steps, d.Steps[i].Name)
	}
	for i := range d.Solution {
		m := &d.Solution[i]
		w := logbook.WayMove{Part: m.Part, Clearance: m.Clearance, Words: strings.Join(m.Words, "; ")}
		if m.Against != nil {
			w.Against = *m.Against
		}
		p.Way = append(p.Way, w)
	}
	for i := range d.Findings {
		p.Found = append(p.Found, found(&d.Findings[i]))
	}
	return p
}

func ends(l *export.LimitInfo) (lo, hi *float64) {
	if l == nil {
		return nil, nil
	}
	return l.Lo, l.Hi
}

func found(f *export.FindingInfo) logbook.Found {
	k := logbook.Found{Rule: f.Rule, Severity: f.Severity, Parts: f.Where.Parts, Message: f.Message}
	if f.Where.Step != nil {
		k.Step = *f.Where.Step
	}
	if f.Margin != nil {
		k.Margin, k.Unit = &f.Margin.Value, f.Margin.Unit
	}
	return k
}

// AskStanding asks the standing checks that a logbook has of the design at path and
// puts the answers into its document. It writes nothing. One fault that would come back makes
// the document's exit status that of a box that does not work as meant.
func AskStanding(ctx context.Context, b *logbook.Book, path string, d *export.Document) error {
	own, ok, err := logbook.DesignNamed(ctx, b, d.Design.Name)
	if err != nil || !ok {
		return err
	}
	if _, err := LogbookDesign(ctx, b, path, d.Design.Name, d.Design.Title); err != nil {
		return err
	}
	checks, err := logbook.ChecksOf(ctx, b, own.ID)
	if err != nil {
		return err
	}
	proof := ProofRecord(d)
	for i := range checks {
		r := logbook.Judge(&checks[i], &proof)
		words, err := faultWords(ctx, b, r.Check.Fault)
		if err != nil {
			return err
		}
		d.Standing = append(d.Standing, export.StandingInfo{
			Check: int(r.Check.ID), Rule: r.Check.Rule, Parts: append([]string{}, r.Check.Parts...), Wanted: r.Check.Wanted(),
			Answer: string(r.Answer), Why: r.Why, Fault: words,
		})
		if r.Answer == logbook.Returns && d.ExitStatus == 0 {
			d.ExitStatus = verdict.Stuck.ExitStatus()
		}
	}
	return nil
}

// faultWords tells what a check came of, and on which revision it was seen.
func faultWords(ctx context.Context, b *logbook.Book, id logbook.ID) (string, error) {
	if id == 0 {
		return "", nil
	}
	f, err := logbook.Get[logbook.Fault](ctx, b, id)
	if err != nil {
		return "", err
	}
	r, err := logbook.Get[logbook.Revision](ctx, b, f.Revision)
	return fmt.Sprintf("%s (fault %d, revision %d, %s)", f.What, f.ID, r.Number, f.At.Format("2 January 2006")), err
}

// Keeping says what of a proof the logbook is to keep.
type Keeping struct {
	Path     string // of the design file
	What     string // for the history
	Revision bool   // keep the revision as well, not only the proof
	Question string // what the revision is to answer
}

// Kept is what was kept.
type Kept struct {
	Revision logbook.Revision // zero if it is none that the logbook knows
	NewRev   bool
	NewProof bool // the proof says something that the logbook did not have
}

// KeepProof writes a proof, and if asked its revision, into a logbook.
func KeepProof(ctx context.Context, b *logbook.Book, d *export.Document, k Keeping) (*Kept, error) {
	out := &Kept{}
	own, err := LogbookDesign(ctx, b, k.Path, d.Design.Name, d.Design.Title)
	if err != nil {
		return nil, err
	}
	proof := ProofRecord(d)
	_, err = b.Do(ctx, k.What, func(t *logbook.Tx) error {
		*out = Kept{}
		err := logbook.KeepProof(ctx, t, &proof)
		if out.NewProof = err == nil; err != nil && !errors.Is(err, logbook.ErrNothing) {
			return err
		}
		if !k.Revision {
			return err
		}
		if err := logbook.KeepDesign(ctx, t, &own); err != nil {
			return err
		}
		out.Revision = logbook.Revision{Design: own.ID, SHA256: d.DesignSHA256, Question: k.Question, Params: paramsOf(d)}
		out.NewRev, err = logbook.KeepRevision(ctx, t, &out.Revision)
		return err
	})
	return out, err
}

func paramsOf(d *export.Document) map[string]float64 {
	out := map[string]float64{}
	for i := range d.Params {
		out[d.Params[i].Name] = d.Params[i].Value
	}
	return out
}

// LogbookPrint is a print of the design at path, m as it was set, as a logbook knows it,
// and the names of its steps; open opens a file that is to be copied in.
func LogbookPrint(ctx context.Context, b *logbook.Book, path string, m *mechanism.Mechanism, open func(string) (io.ReadCloser, error)) (p *logbook.Printed, steps []string, err error) {
	p = &logbook.Printed{SHA256: m.SHA256, Params: map[string]float64{}, Open: open}
	if p.Design, err = LogbookDesign(ctx, b, path, m.Name, m.Title); err != nil {
		return nil, nil, err
	}
	for i := range m.Params {
		p.Params[m.Params[i].Name] = m.Params[i].Value
	}
	for i := range m.Parts {
		p.Parts = append(p.Parts, m.Parts[i].Name)
	}
	for i := range m.Steps {
		steps = append(steps, m.Steps[i].Name)
	}
	return p, steps, nil
}

// LogbookDesign is the design at path as a logbook knows it. Two files of one name
// in a workshop would share their revisions and checks: that is an error.
func LogbookDesign(ctx context.Context, b *logbook.Book, path, name, title string) (logbook.Design, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return logbook.Design{}, err
	}
	file, err := filepath.Rel(b.Dir(), full)
	if err != nil || strings.HasPrefix(file, "..") {
		file = full
	}
	d := logbook.Design{Name: name, Title: title, File: filepath.ToSlash(file)}
	old, ok, err := logbook.DesignNamed(ctx, b, name)
	if err != nil || !ok || old.File == d.File || old.File == "" {
		return d, err
	}
	other := filepath.FromSlash(old.File)
	if !filepath.IsAbs(other) {
		other = filepath.Join(b.Dir(), other)
	}
	was, err := os.Stat(other)
	if err != nil {
		return d, nil // moved: the old place is empty
	}
	if now, err := os.Stat(full); err == nil && os.SameFile(was, now) {
		return d, nil
	}
	return d, fmt.Errorf("the logbook in %s knows %s as %s, which is another file; give one of the two another name", b.Dir(), name, old.File)
}
