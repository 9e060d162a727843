package logbook

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Whatever a deed did, with names handed round within it and what belongs to a record
// taken along, undone it leaves what was there before, and the undoing undone what was
// there after. The check is the dump, which knows nothing of undoing.
func TestUndoAnything(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute with the race detector, which uses -short; the plain run has it")
	}
	for seed := range uint64(8) {
		rng := rand.New(rand.NewPCG(seed, 3))
		b := opened(t)
		b.quietFrom = int(seed%2) * 3
		tower(t, b)
		done(t, b, func(tx *Tx) error { return someReadings2(tx, 8) })
		for i := range 4 {
			before := contents(t, b)
			deed, err := b.Do(ctx, "at random", func(tx *Tx) error { return atRandom(tx, rng, 1+rng.IntN(12)) })
			if err != nil {
				t.Fatal(seed, i, err)
			}
			if deed == 0 {
				continue
			}
			after := contents(t, b)
			if _, err := b.Undo(ctx, deed); err != nil {
				t.Fatal(seed, i, err)
			}
			if d := cmp.Diff(before, contents(t, b)); d != "" {
				t.Fatalf("seed %d, deed %d undone: %s", seed, deed, d)
			}
			if _, err := b.Undo(ctx, deed+1); err != nil {
				t.Fatal(seed, i, err)
			}
			if d := cmp.Diff(after, contents(t, b)); d != "" {
				t.Fatalf("seed %d, deed %d, the undoing undone: %s", seed, deed, d)
			}
			if found, err := b.Examine(ctx); len(found) > 0 || err != nil {
				t.Fatal(found, err)
			}
		}
	}
}

// atRandom adds, changes and drops n times; printers swap their names.
func atRandom(tx *Tx, rng *rand.Rand, n int) error {
	for range n {
		trials, err := All[Trial](ctx, tx, "")
		if err != nil {
			return err
		}
		ps, err := All[Printer](ctx, tx, "")
		if err != nil {
			return err
		}
		switch k := rng.IntN(7); {
		case k == 0 && len(trials) > 1:
			err = Drop[Trial](tx, trials[rng.IntN(len(trials))].ID)
		case k == 1 && len(ps) > 1:
			a, z := ps[0], ps[len(ps)-1]
			old := a.Name
			a.Name = "for a moment"
			err = Change(tx, &a)
			a.Name, z.Name = z.Name, old
			err = joined(err, joined(Change(tx, &z), Change(tx, &a)))
		case k == 2:
			err = Add(tx, &Printer{Name: fmt.Sprint("printer ", rng.Uint64())})
		case k == 3 && len(ps) > 1:
			if err = Drop[Printer](tx, ps[len(ps)-1].ID); errors.Is(err, ErrNoSuch) || err != nil && strings.Contains(err.Error(), "cannot be removed") {
				err = nil // printed with
			}
		case k == 4:
			tr := Trial{Revision: 1, Printer: ps[rng.IntN(len(ps))].ID, Note: fmt.Sprint(rng.Uint64())}
			if err = Add(tx, &tr); err == nil {
				err = joined(Add(tx, &Reading{Trial: tr.ID, Kind: Bore, Measured: num(rng.Float64())}), Add(tx, &Solve{Revision: 1, Trial: tr.ID, Minutes: num(3)}))
			}
		case len(trials) > 0:
			tr := trials[rng.IntN(len(trials))]
			tr.Minutes, tr.Note = num(rng.ExpFloat64()), fmt.Sprint("\"§\\", k)
			err = Change(tx, &tr)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// What another deed's rows need is not taken away, and the refusal names who needs it.
func TestUndoNeeded(t *testing.T) {
	b := opened(t)
	deed := done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: "Kestrel"}) })
	done(t, b, func(tx *Tx) error {
		d := Design{Name: "tower"}
		if err := Add(tx, &d); err != nil {
			return err
		}
		r := Revision{Design: d.ID, Number: 1, SHA256: sum(1)}
		if err := Add(tx, &r); err != nil {
			return err
		}
		return Add(tx, &Trial{Revision: r.ID, Printer: 1})
	})
	before := dump(t, b)
	if _, err := b.Undo(ctx, deed); err == nil || !strings.Contains(err.Error(), "deed 1 cannot be undone: trial 1 refers to what it added") {
		t.Error(err)
	}
	if d := cmp.Diff(before, dump(t, b)); d != "" {
		t.Error(d)
	}
}

// Many rows at once are noted as one by one: the history says the same of an import,
// of its undoing and of the undoing of that.
func TestQuietHistory(t *testing.T) {
	var said [2]string
	from := full(t)
	done(t, from, func(tx *Tx) error { return someReadings2(tx, 20) })
	file := dump(t, from)
	for i := range said {
		b := opened(t)
		b.quietFrom = 1 + 1000*i
		done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: "Robin"}) })
		m, err := b.Merge(ctx, strings.NewReader(file), MergeOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for d := range ID(3) {
			if _, err := b.Undo(ctx, m.Deed+d); err != nil {
				t.Fatal(err)
			}
		}
		for d := range m.Deed + 4 {
			past, err := PastOfDeed(ctx, b, d)
			if err != nil {
				t.Fatal(err)
			}
			var lines []string
			for _, p := range past {
				lines = append(lines, fmt.Sprintln(p.Deed, p.Table, p.Row, p.Act, string(p.Before)))
			}
			slices.Sort(lines)
			said[i] += strings.Join(lines, "")
		}
	}
	if strings.Count(said[0], "removed") < 60 {
		t.Errorf("little was removed:\n%s", said[0])
	}
	if d := cmp.Diff(said[1], said[0]); d != "" {
		t.Error(d)
	}
}
