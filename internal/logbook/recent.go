package logbook

import (
	"context"
	"slices"
)

// TrialLine is a trial with the names of what it refers to.
type TrialLine struct {
	Trial
	Design string
	Number int       // of the revision
	Setup  [4]string // names of printer, nozzle, spool, profile; "" where not known
	Parts  []string  // the only ones that it printed; none: the whole box
}

// LastTrials lists the last n trials, the newest last; 0 lists all.
func LastTrials(ctx context.Context, q querier, n int) ([]TrialLine, error) {
	if n <= 0 {
		n = -1
	}
	trials, err := All[Trial](ctx, q, "1 ORDER BY id DESC LIMIT ?", n)
	if err != nil || len(trials) == 0 {
		return nil, err
	}
	slices.Reverse(trials)
	names, err := namesById(ctx, q)
	if err != nil {
		return nil, err
	}
	revs, err := All[Revision](ctx, q, "id IN (SELECT revision FROM trials ORDER BY id DESC LIMIT ?)", n)
	if err != nil {
		return nil, err
	}
	parts, err := All[TrialPart](ctx, q, "trial IN (SELECT id FROM trials ORDER BY id DESC LIMIT ?) ORDER BY id", n)
	if err != nil {
		return nil, err
	}
	of := map[ID][]string{}
	for i := range parts {
		of[parts[i].Trial] = append(of[parts[i].Trial], parts[i].Part)
	}
	by := make(map[ID]*Revision, len(revs))
	for i := range revs {
		by[revs[i].ID] = &revs[i]
	}
	out := make([]TrialLine, len(trials))
	for i, t := range trials {
		r := by[t.Revision]
		if r == nil { // only between two questions can another program have removed it
			return nil, noSuch("revisions", t.Revision)
		}
		out[i] = TrialLine{Trial: t, Number: r.Number, Parts: of[t.ID], Design: names["designs"][r.Design], Setup: [4]string{
			names["printers"][t.Printer], names["nozzles"][t.Nozzle], names["spools"][t.Spool], names["profiles"][t.Profile],
		}}
	}
	return out, nil
}

func namesById(ctx context.Context, q querier) (map[string]map[ID]string, error) {
	out := map[string]map[ID]string{}
	for _, table := range []string{"designs", "printers", "nozzles", "spools", "profiles"} {
		names, ids, err := namesOf(ctx, q, table)
		if err != nil {
			return nil, err
		}
		out[table] = map[ID]string{}
		for i := range ids {
			out[table][ids[i]] = names[i]
		}
	}
	return out, nil
}
