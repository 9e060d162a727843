package logbook

import (
	"context"
	"errors"
	"time"
)

// errNoDesign says that a design has no revision yet.
var errNoDesign = errors.New("nothing of this design is in the logbook yet; feint log or feint prove --keep begins it")

// SumOf is a revision with all that came of it.
type SumOf struct {
	Revision
	Proof    *Proof
	Yield    *Yield // the newest
	Trials   int
	Outcomes map[Outcome]int
	Grams    float64 // of all trials together, as far as known
	Minutes  float64 // likewise
	// What one copy of the whole box took, the mean of the prints as drawn that did
	// not fail; nil if none is known.
	GramsEach   *float64
	MinutesEach *float64
	Faults      []Fault
	Solves      []Solve
	Last        time.Time // of the newest trial; zero if there is none
}

// Revisions lists the revisions of a design with all that came of them, by number.
func Revisions(ctx context.Context, q querier, design ID) ([]SumOf, error) {
	revs, err := All[Revision](ctx, q, "design = ? ORDER BY number", design)
	if err != nil {
		return nil, err
	}
	if len(revs) == 0 {
		return nil, errNoDesign
	}
	out := make([]SumOf, len(revs))
	at := map[ID]int{}
	for i := range revs {
		out[i] = SumOf{Revision: revs[i], Outcomes: map[Outcome]int{}}
		at[revs[i].ID] = i
	}
	if err := addProofs(ctx, q, design, out); err != nil {
		return nil, err
	}
	if err := addTrials(ctx, q, design, out, at); err != nil {
		return nil, err
	}
	return out, addFaults(ctx, q, design, out, at)
}

const ofDesign = "revision IN (SELECT id FROM revisions WHERE design = ?) ORDER BY id"

func addTrials(ctx context.Context, q querier, design ID, out []SumOf, at map[ID]int) error {
	trials, err := All[Trial](ctx, q, ofDesign, design)
	if err != nil {
		return err
	}
	partial, err := partialTrials(ctx, q)
	if err != nil {
		return err
	}
	grams, minutes := make([]mean1, len(out)), make([]mean1, len(out))
	for i := range trials {
		t := &trials[i]
		n := at[t.Revision]
		s := &out[n]
		s.Trials++
		s.Outcomes[t.Outcome]++
		if t.At.After(s.Last) {
			s.Last = t.At
		}
		s.Grams += orZero(t.Grams)
		s.Minutes += orZero(t.Minutes)
		if t.Scale == 1 && t.Outcome != Failed && !partial[t.ID] {
			grams[n].add(t.Grams, t.Copies)
			minutes[n].add(t.Minutes, t.Copies)
		}
	}
	for i := range out {
		out[i].GramsEach, out[i].MinutesEach = grams[i].value(), minutes[i].value()
	}
	return nil
}

func addFaults(ctx context.Context, q querier, design ID, out []SumOf, at map[ID]int) error {
	faults, err := All[Fault](ctx, q, ofDesign, design)
	if err != nil {
		return err
	}
	for i := range faults {
		s := &out[at[faults[i].Revision]]
		s.Faults = append(s.Faults, faults[i])
	}
	solves, err := All[Solve](ctx, q, ofDesign, design)
	for i := range solves {
		s := &out[at[solves[i].Revision]]
		s.Solves = append(s.Solves, solves[i])
	}
	return err
}

// partialTrials are the trials that printed some parts only.
func partialTrials(ctx context.Context, q querier) (out map[ID]bool, err error) {
	rows, err := q.query(ctx, "SELECT DISTINCT trial FROM trial_parts")
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	out = map[ID]bool{}
	for rows.Next() {
		var id ID
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		out[id] = true
	}
	return out, rows.Err()
}

// mean1 is a running mean over copies.
type mean1 struct {
	sum float64
	n   int
}

func (m *mean1) add(v *float64, copies int) {
	if v != nil {
		m.sum += *v
		m.n += copies
	}
}

func (m *mean1) value() *float64 {
	if m.n == 0 {
		return nil
	}
	v := m.sum / float64(m.n)
	return &v
}

func orZero(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

func addProofs(ctx context.Context, q querier, design ID, out []SumOf) error {
	const of = "sha256 IN (SELECT sha256 FROM revisions WHERE design = ?) ORDER BY at, id"
	proofs, err := All[Proof](ctx, q, of, design)
	if err != nil {
		return err
	}
	yields, err := All[Yield](ctx, q, of, design)
	if err != nil {
		return err
	}
	at := map[string]int{}
	for i := range out {
		at[out[i].SHA256] = i
	}
	for i := range proofs {
		out[at[proofs[i].SHA256]].Proof = &proofs[i]
	}
	for i := range yields {
		out[at[yields[i].SHA256]].Yield = &yields[i]
	}
	return nil
}
