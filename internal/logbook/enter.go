package logbook

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// Printed is the design that a line is about, as it stands now.
type Printed struct {
	Design Design             // Name, Title, File
	SHA256 string             // of the design as it stands
	Params map[string]float64 // likewise
	Parts  []string
	Open   func(path string) (io.ReadCloser, error) // opens a photo
}

// Entered is what a line did.
type Entered struct {
	Trial    Trial
	Fresh    bool // a print of its own
	Revision Revision
	NewRev   bool // the revision was not in the logbook before
	Fault    ID
	Setup    [4]string // names of printer, nozzle, spool, profile
	AsLast   bool      // some of the setup was taken from the print before
	Parts    []string  // the only ones that the trial printed; none: the whole box
}

// Enter does what a line says, within a deed.
func Enter(ctx context.Context, t *Tx, p *Printed, l *Line) (*Entered, error) {
	out := &Entered{}
	if err := KeepDesign(ctx, t, &p.Design); err != nil {
		return nil, err
	}
	last, has, err := LatestTrial(ctx, t, p.Design.ID)
	if err != nil {
		return nil, err
	}
	out.Fresh = l.New || l.Minutes != nil || l.Grams != nil || !has
	if !out.Fresh && l.Revision != 0 {
		return nil, errors.New("a revision belongs to a print of its own: give its minutes or grams, or the word new")
	}
	if out.Fresh {
		err = out.begin(ctx, t, p, l)
	} else {
		err = out.goOn(ctx, t, &last, l)
	}
	if err != nil {
		return nil, err
	}
	if err := out.outcome(t, l); err != nil {
		return nil, err
	}
	if err := out.belongings(t, p, l); err != nil {
		return nil, err
	}
	out.Setup, err = setupNames(ctx, t, &out.Trial)
	return out, err
}

// begin adds the trial, with the setup of the newest one where the line has none.
func (e *Entered) begin(ctx context.Context, t *Tx, p *Printed, l *Line) error {
	if err := e.revision(ctx, t, p, l); err != nil {
		return err
	}
	before, _, err := LatestTrial(ctx, t, 0)
	if err != nil {
		return err
	}
	e.Trial = Trial{
		Revision: e.Revision.ID, At: l.At, Minutes: l.Minutes, Grams: l.Grams, Copies: l.Copies, Note: l.Note,
		Printer: before.Printer, Nozzle: before.Nozzle, Spool: before.Spool, Profile: before.Profile,
	}
	if l.Scale != nil {
		e.Trial.Scale = *l.Scale
	}
	e.AsLast = before.Printer != 0 && l.Printer == "" || before.Nozzle != 0 && l.Nozzle == "" ||
		before.Spool != 0 && l.Spool == "" || before.Profile != 0 && l.Profile == ""
	if err := setUp(ctx, t, &e.Trial, l); err != nil {
		return err
	}
	return Add(t, &e.Trial)
}

func (e *Entered) revision(ctx context.Context, t *Tx, p *Printed, l *Line) (err error) {
	if l.Revision != 0 {
		var ok bool
		if e.Revision, ok, err = RevisionNumbered(ctx, t, p.Design.ID, l.Revision); err == nil && !ok {
			err = fmt.Errorf("%s has no revision %d in the logbook", p.Design.Name, l.Revision)
		}
		return err
	}
	e.Revision = Revision{Design: p.Design.ID, SHA256: p.SHA256, Params: p.Params}
	e.NewRev, err = KeepRevision(ctx, t, &e.Revision)
	return err
}

// goOn changes the last trial of the design by what the line says.
func (e *Entered) goOn(ctx context.Context, t *Tx, last *Trial, l *Line) (err error) {
	e.Trial = *last
	if e.Revision, err = Get[Revision](ctx, t, last.Revision); err != nil {
		return err
	}
	if l.Outcome != "" && last.Outcome != "" && last.Outcome != l.Outcome {
		return fmt.Errorf("print %d of %s is told to be %q already; a new print needs its minutes, its grams or the word new; to put it right: feint log edit trial %d outcome=%s",
			last.ID, last.At.Format("2 January"), last.Outcome, last.ID, l.Outcome)
	}
	if err := setUp(ctx, t, &e.Trial, l); err != nil {
		return err
	}
	if !l.At.IsZero() {
		e.Trial.At = l.At
	}
	if l.Scale != nil {
		e.Trial.Scale = *l.Scale
	}
	if l.Copies > 0 {
		e.Trial.Copies = l.Copies
	}
	if l.Note != "" {
		e.Trial.Note = strings.TrimPrefix(e.Trial.Note+"; "+l.Note, "; ")
	}
	if same, err := equalRows(&e.Trial, last); err != nil || same {
		return err
	}
	return Change(t, &e.Trial)
}

// setUp puts the names of a line into a trial.
func setUp(ctx context.Context, t *Tx, tr *Trial, l *Line) (err error) {
	set := func(into *ID, name string, find func(context.Context, querier, string) (ID, error)) {
		if name != "" && err == nil {
			*into, err = find(ctx, t, name)
		}
	}
	set(&tr.Printer, l.Printer, Named[Printer])
	set(&tr.Nozzle, l.Nozzle, Named[Nozzle])
	set(&tr.Spool, l.Spool, Named[Spool])
	set(&tr.Profile, l.Profile, Named[Profile])
	return err
}

// outcome notes how the trial came out; what is not "works" is a fault.
func (e *Entered) outcome(t *Tx, l *Line) error {
	if l.Outcome == "" {
		return nil
	}
	e.Trial.Outcome, e.Trial.Place = l.Outcome, l.Place
	if err := Change(t, &e.Trial); err != nil {
		return err
	}
	if l.Outcome == Works {
		return nil
	}
	what := string(l.Outcome)
	if l.Place != "" {
		what += " at " + l.Place
	}
	same, err := All[Fault](t.ctx, t, "trial = ? AND what = ? AND place = ? ORDER BY id", e.Trial.ID, what, l.Place)
	if err != nil {
		return err
	}
	if len(same) > 0 { // said twice
		e.Fault = same[0].ID
		return nil
	}
	f := Fault{Revision: e.Revision.ID, Trial: e.Trial.ID, Place: l.Place, Parts: l.PlaceParts, What: what}
	err = Add(t, &f)
	e.Fault = f.ID
	return err
}

// belongings adds what belongs to the trial: parts, readings, photos, solves.
func (e *Entered) belongings(t *Tx, p *Printed, l *Line) error {
	if err := e.parts(t, l.Parts); err != nil {
		return err
	}
	for i := range l.Readings {
		r := l.Readings[i]
		r.Trial, r.At = e.Trial.ID, l.At
		if err := Add(t, &r); err != nil {
			return err
		}
	}
	for i := range l.Solves {
		s := l.Solves[i]
		s.Trial, s.Revision, s.At = e.Trial.ID, e.Revision.ID, l.At
		if err := Add(t, &s); err != nil {
			return err
		}
	}
	for _, path := range l.Photos {
		if err := e.photo(t, p, path); err != nil {
			return err
		}
	}
	return nil
}

// parts notes which parts the trial printed, those that are not noted yet.
func (e *Entered) parts(t *Tx, names []string) error {
	has, err := All[TrialPart](t.ctx, t, "trial = ? ORDER BY id", e.Trial.ID)
	if err != nil {
		return err
	}
	for i := range has {
		e.Parts = append(e.Parts, has[i].Part)
	}
	for _, name := range names {
		if slices.Contains(e.Parts, name) {
			continue
		}
		if err := Add(t, &TrialPart{Trial: e.Trial.ID, Part: name}); err != nil {
			return err
		}
		e.Parts = append(e.Parts, name)
	}
	return nil
}

// Attempt keeps one attempt at a design as it stands, of no print, within a deed, and
// gives its revision.
func Attempt(ctx context.Context, t *Tx, p *Printed, s *Solve) (Revision, error) {
	if err := KeepDesign(ctx, t, &p.Design); err != nil {
		return Revision{}, err
	}
	var e Entered
	if err := e.revision(ctx, t, p, &Line{}); err != nil {
		return Revision{}, err
	}
	s.Revision, s.Trial = e.Revision.ID, 0
	return e.Revision, Add(t, s)
}

// photo keeps a picture with the fault of the line, or else with the trial.
func (e *Entered) photo(t *Tx, p *Printed, path string) error {
	f, err := p.Open(path)
	if err != nil {
		return fmt.Errorf("photo: %w", err)
	}
	defer func() { _ = f.Close() }() // only read
	name := path[strings.LastIndexAny(path, `/\`)+1:]
	k := Photo{Trial: e.Trial.ID, Name: name}
	if e.Fault != 0 {
		k.Trial, k.Fault = 0, e.Fault
	}
	return KeepPhoto(t, f, &k)
}

// setupNames gives the names of what a trial was printed with, "" where not known.
func setupNames(ctx context.Context, q querier, tr *Trial) (out [4]string, err error) {
	for i, k := range []struct {
		table string
		id    ID
	}{{"printers", tr.Printer}, {"nozzles", tr.Nozzle}, {"spools", tr.Spool}, {"profiles", tr.Profile}} {
		if k.id == 0 {
			continue
		}
		names, ids, err := namesOf(ctx, q, k.table)
		if err != nil {
			return out, err
		}
		for n := range ids {
			if ids[n] == k.id {
				out[i] = names[n]
			}
		}
	}
	return out, nil
}

// Understand reads a line that is said now of a design with these parts and steps.
func Understand(ctx context.Context, b *Book, parts, steps []string, text string, now time.Time) (*Line, error) {
	v, err := Words(ctx, b, parts, steps)
	if err != nil {
		return nil, err
	}
	v.Now = now
	return ReadLine(text, v)
}

// Words gathers what a line may speak of; parts and steps are the design's.
func Words(ctx context.Context, q querier, parts, steps []string) (*Vocabulary, error) {
	v := &Vocabulary{Parts: parts, Steps: steps}
	for table, into := range map[string]*[]string{"printers": &v.Printers, "nozzles": &v.Nozzles, "spools": &v.Spools, "profiles": &v.Profiles} {
		names, _, err := namesOf(ctx, q, table)
		if err != nil {
			return nil, err
		}
		*into = names
	}
	return v, nil
}
