package logbook

import (
	"context"
	"fmt"
	"strings"
)

// first is the first record that a condition selects, and whether there is one.
func first[T Record](ctx context.Context, q querier, where string, args ...any) (T, bool, error) {
	all, err := All[T](ctx, q, where+" LIMIT 1", args...)
	if err != nil || len(all) == 0 {
		var none T
		return none, false, err
	}
	return all[0], true, nil
}

// DesignNamed finds a design by its name, whatever the capitals.
func DesignNamed(ctx context.Context, q querier, name string) (Design, bool, error) {
	return first[Design](ctx, q, "name = ?", name)
}

// LatestRevision is the revision of a design with the highest number.
func LatestRevision(ctx context.Context, q querier, design ID) (Revision, bool, error) {
	return first[Revision](ctx, q, "design = ? ORDER BY number DESC", design)
}

// RevisionNumbered finds a revision of a design by its number.
func RevisionNumbered(ctx context.Context, q querier, design ID, number int) (Revision, bool, error) {
	return first[Revision](ctx, q, "design = ? AND number = ?", design, number)
}

// LatestTrial is the newest trial of a design, or of all designs with 0.
func LatestTrial(ctx context.Context, q querier, design ID) (Trial, bool, error) {
	if design == 0 {
		return first[Trial](ctx, q, "1 ORDER BY id DESC")
	}
	return first[Trial](ctx, q, "revision IN (SELECT id FROM revisions WHERE design = ?) ORDER BY id DESC", design)
}

// ProofOf is the newest proof of a content hash.
func ProofOf(ctx context.Context, q querier, sha256 string) (Proof, bool, error) {
	return first[Proof](ctx, q, "sha256 = ? ORDER BY at DESC, id DESC", sha256)
}

// ChecksOf lists the standing checks of a design that do not rest.
func ChecksOf(ctx context.Context, q querier, design ID) ([]Check, error) {
	return All[Check](ctx, q, "design = ? AND rests = 0 ORDER BY id", design)
}

// FaultsOf lists the faults seen on any revision of a design.
func FaultsOf(ctx context.Context, q querier, design ID) ([]Fault, error) {
	return All[Fault](ctx, q, "revision IN (SELECT id FROM revisions WHERE design = ?) ORDER BY id", design)
}

// KeepDesign finds a design by name or adds it.
func KeepDesign(ctx context.Context, t *Tx, d *Design) error {
	old, ok, err := DesignNamed(ctx, t, d.Name)
	if err != nil {
		return err
	}
	if !ok {
		return Add(t, d)
	}
	d.ID = old.ID
	if d.Title == old.Title && d.File == old.File {
		return nil
	}
	return Change(t, d)
}

// KeepRevision finds a revision of r.Design by its content hash or adds it under
// the next number, made from the one before unless r says from which. Where it is
// there already, a question or a note in r is written over an empty one. It tells
// whether it is new.
func KeepRevision(ctx context.Context, t *Tx, r *Revision) (fresh bool, err error) {
	old, ok, err := first[Revision](ctx, t, "design = ? AND sha256 = ?", r.Design, r.SHA256)
	if err != nil {
		return false, err
	}
	if ok {
		question, note := r.Question, r.Note
		*r = old
		if (question == "" || old.Question != "") && (note == "" || old.Note != "") {
			return false, nil
		}
		r.Question, r.Note = orElse(old.Question, question), orElse(old.Note, note)
		return false, Change(t, r)
	}
	last, _, err := LatestRevision(ctx, t, r.Design)
	if err != nil {
		return false, err
	}
	r.Number = last.Number + 1
	if r.Parent == 0 {
		r.Parent = last.ID
	}
	return true, Add(t, r)
}

func orElse(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// KeepProof adds a proof or writes it over the one of the same content and growths.
// A proof that says nothing new gives ErrNothing.
func KeepProof(ctx context.Context, t *Tx, p *Proof) error {
	old, ok, err := first[Proof](ctx, t, "sha256 = ? AND growth_lo_mm = ? AND growth_hi_mm = ?", p.SHA256, p.GrowthLo, p.GrowthHi)
	if err != nil {
		return err
	}
	if !ok {
		return Add(t, p)
	}
	p.ID, p.At = old.ID, old.At
	if p.Grams == nil {
		p.Grams = old.Grams
	}
	if p.Minutes == nil {
		p.Minutes = old.Minutes
	}
	same, err := equalRows(p, &old)
	if err == nil && same {
		err = ErrNothing
	}
	if err != nil {
		return err
	}
	p.At = t.now
	return Change(t, p)
}

// KeepYield adds a yield, unless the logbook has one that says the same.
func KeepYield(ctx context.Context, t *Tx, y *Yield) error {
	olds, err := All[Yield](ctx, t, "sha256 = ? AND setting = ? AND seed = ? AND prints = ? ORDER BY id", y.SHA256, y.Setting, y.Seed, y.Prints)
	if err != nil {
		return err
	}
	for i := range olds {
		y.ID, y.At = olds[i].ID, olds[i].At
		if same, err := equalRows(y, &olds[i]); err != nil || same {
			return err
		}
	}
	y.ID, y.At = 0, t.now
	return Add(t, y)
}

// Setup names what a print is made with; 0 is "any" in a question and "not known"
// in an answer.
type Setup struct {
	Printer, Nozzle, Spool, Profile ID
}

// where is the condition that trials (as t) match a setup.
func (s Setup) where() (string, []any) {
	text, args := "1", []any{}
	for _, c := range []struct {
		name string
		id   ID
	}{{"printer", s.Printer}, {"nozzle", s.Nozzle}, {"spool", s.Spool}, {"profile", s.Profile}} {
		if c.id != 0 {
			text += " AND t." + c.name + " = ?"
			args = append(args, int64(c.id))
		}
	}
	return text, args
}

// Sized is a reading with what it was printed with: what a calibration takes.
type Sized struct {
	Reading
	Setup Setup
	Scale float64 // of the print; nominal sizes and gaps are as drawn, before it
}

// ReadingsWith lists the readings of all trials of a setup, by rising ID.
func ReadingsWith(ctx context.Context, q querier, s Setup) ([]Sized, error) {
	where, args := s.where()
	rs, err := All[Reading](ctx, q, "trial IN (SELECT t.id FROM trials t WHERE "+where+") ORDER BY id", args...)
	if err != nil {
		return nil, err
	}
	ts, err := All[Trial](ctx, q, "id IN (SELECT t.id FROM trials t WHERE "+where+")", args...)
	if err != nil {
		return nil, err
	}
	by := make(map[ID]*Trial, len(ts))
	for i := range ts {
		by[ts[i].ID] = &ts[i]
	}
	out := make([]Sized, 0, len(rs))
	for _, r := range rs {
		if t := by[r.Trial]; t != nil {
			out = append(out, Sized{r, Setup{t.Printer, t.Nozzle, t.Spool, t.Profile}, t.Scale})
		}
	}
	return out, nil
}

// Cost is what one print of a whole box took, beside what feint had foretold: what
// a model of print time and weight is corrected by.
type Cost struct {
	Trial           ID
	SHA256          string
	Setup           Setup
	Scale           float64
	Copies          int
	Minutes, Grams  *float64
	ToldMin, ToldGr *float64 // by feint for one copy as drawn; nil if it was not asked
}

// CostsWith lists the prints of whole boxes of a setup whose minutes or grams are
// known, but for those that failed.
func CostsWith(ctx context.Context, q querier, s Setup) (out []Cost, err error) {
	where, args := s.where()
	rows, err := q.query(ctx, `SELECT t.id, r.sha256, coalesce(t.printer, 0), coalesce(t.nozzle, 0), coalesce(t.spool, 0), coalesce(t.profile, 0),
		t.scale, t.copies, t.minutes, t.grams,
		(SELECT p.minutes FROM proofs p WHERE p.sha256 = r.sha256 AND p.minutes IS NOT NULL ORDER BY p.id DESC LIMIT 1),
		(SELECT p.grams FROM proofs p WHERE p.sha256 = r.sha256 AND p.grams IS NOT NULL ORDER BY p.id DESC LIMIT 1)
		FROM trials t JOIN revisions r ON r.id = t.revision
		WHERE (t.minutes IS NOT NULL OR t.grams IS NOT NULL) AND t.outcome <> 'failed'
		AND NOT EXISTS (SELECT 1 FROM trial_parts k WHERE k.trial = t.id) AND `+where+" ORDER BY t.id", args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var c Cost
		if err := rows.Scan(&c.Trial, &c.SHA256, &c.Setup.Printer, &c.Setup.Nozzle, &c.Setup.Spool, &c.Setup.Profile,
			&c.Scale, &c.Copies, &c.Minutes, &c.Grams, &c.ToldMin, &c.ToldGr); err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, rows.Err()
}

// Named finds the ID of what has a name: a Printer, Nozzle, Spool, Profile or
// Design. The error of one that is not there gives the nearest.
func Named[T Printer | Nozzle | Spool | Profile | Design](ctx context.Context, q querier, name string) (ID, error) {
	table := tableOf[T]()
	names, ids, err := namesOf(ctx, q, table)
	if err != nil {
		return 0, err
	}
	for i, n := range names {
		if strings.EqualFold(n, name) {
			return ids[i], nil
		}
	}
	one := strings.TrimSuffix(table, "s")
	if n := Nearest(name, names); n != "" {
		return 0, fmt.Errorf("%s %q: %w of this name; did you mean %q? A new one: feint log add %s %q", one, name, ErrNoSuch, n, one, name)
	}
	return 0, fmt.Errorf("%s %q: %w of this name; feint log add %s %q adds it", one, name, ErrNoSuch, one, name)
}

// namesOf lists the names of a table by rising ID.
func namesOf(ctx context.Context, q querier, table string) (names []string, ids []ID, err error) {
	rows, err := q.query(ctx, "SELECT id, name FROM "+table+" ORDER BY id")
	if err != nil {
		return nil, nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var id ID
		var name string
		if err := rows.Scan(&id, &name); err != nil {
			return nil, nil, err
		}
		names, ids = append(names, name), append(ids, id)
	}
	return names, ids, rows.Err()
}
