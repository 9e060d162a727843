package logbook

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// dump is all that a logbook holds but for the records of what was done to it.
func contents(t testing.TB, b *Book) string {
	t.Helper()
	var w bytes.Buffer
	if err := b.Dump(ctx, &w, false); err != nil {
		t.Fatal(err)
	}
	var keep []string
	for line := range strings.Lines(w.String()) {
		if !strings.HasPrefix(line, `{"table":"history"`) && !strings.HasPrefix(line, `{"table":"deeds"`) && !strings.HasPrefix(line, `{"sha256"`) {
			keep = append(keep, line)
		}
	}
	return strings.Join(keep, "")
}

// What belongs to a trial goes with it, and one undoing brings all of it back.
func TestUndoDrop(t *testing.T) {
	b := opened(t)
	_, r, tr := tower(t, b)
	done(t, b, func(tx *Tx) error {
		for i := range 3 {
			if err := Add(tx, &Reading{Trial: tr.ID, Kind: Gap, Gap: num(0.1 * float64(i)), Felt: Tight}); err != nil {
				return err
			}
		}
		f := Fault{Revision: r.ID, Trial: tr.ID, What: "binds", Parts: []string{"ring 3", "rod"}}
		if err := Add(tx, &f); err != nil {
			return err
		}
		return Add(tx, &Photo{Fault: f.ID, SHA256: sum(7), Media: "image/png"})
	})
	before := contents(t, b)
	deed := done(t, b, func(tx *Tx) error { return Drop[Trial](tx, tr.ID) })
	if n, err := All[Reading](ctx, b, ""); len(n) > 0 || err != nil {
		t.Fatalf("%d readings stay; %v", len(n), err)
	}
	if p, err := PastOfDeed(ctx, b, deed); len(p) != 6 || err != nil {
		t.Errorf("the history has %d of 6 rows (a trial, three readings, a fault, a photo): %v", len(p), err)
	}
	undone, err := b.Undo(ctx, 0)
	if err != nil || undone.ID != deed {
		t.Fatal(undone, err)
	}
	if d := cmp.Diff(before, contents(t, b)); d != "" {
		t.Error(d)
	}
	if _, err := b.Undo(ctx, deed); err == nil || !strings.Contains(err.Error(), "undone already") {
		t.Errorf("undone twice: %v", err)
	}
}

// An undoing would take with it what came later: it is refused and changes nothing.
func TestUndoRefused(t *testing.T) {
	for _, quiet := range []int{0, 1} {
		undoRefused(t, quiet)
	}
}

func undoRefused(t *testing.T, quiet int) {
	b := opened(t)
	b.quietFrom = quiet
	_, _, tr := tower(t, b)
	first, err := Deeds(ctx, b, 1)
	if err != nil {
		t.Fatal(err)
	}
	done(t, b, func(tx *Tx) error { return Add(tx, &Reading{Trial: tr.ID, Kind: Bore, Measured: num(11.9)}) })
	before := contents(t, b)
	if _, err := b.Undo(ctx, first[0].ID); err == nil || !strings.Contains(err.Error(), "reading 1 came to it since") {
		t.Errorf("a trial with later readings: %v", err)
	}
	tr.Note = "second thoughts"
	later := done(t, b, func(tx *Tx) error { return Change(tx, &tr) })
	if _, err := b.Undo(ctx, first[0].ID); err == nil || !strings.Contains(err.Error(), "changed trial 1 since") {
		t.Errorf("a trial changed later: %v", err)
	}
	if _, err := b.Undo(ctx, later); err != nil {
		t.Error(err)
	}
	if d := cmp.Diff(before, contents(t, b)); d != "" {
		t.Error(d)
	}
	if _, err := b.Undo(ctx, 99); err == nil {
		t.Error("a deed that never was can be undone")
	}
}

// A change made by another program is kept in the history as well.
func TestOutsideChange(t *testing.T) {
	b := opened(t)
	_, _, tr := tower(t, b)
	if _, err := b.db.Exec("UPDATE trials SET grams = 43.5 WHERE id = ?", int64(tr.ID)); err != nil {
		t.Fatal(err)
	}
	p, err := PastOf[Trial](ctx, b, tr.ID)
	if err != nil || len(p) != 2 || p[0].Deed != 0 || p[0].Act != "changed" || !strings.Contains(string(p[0].Before), `"grams":41.0`) {
		t.Errorf("%+v, %v", p, err)
	}
}

// Undoing a change brings back every number to the last bit and every text to the
// last byte.
func TestUndoExact(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute with the race detector, which uses -short; the plain run has it")
	}
	b := opened(t)
	b.quietFrom = 1
	_, _, tr := tower(t, b)
	rapid.Check(t, func(rt *rapid.T) {
		real := rapid.Custom(func(rt *rapid.T) float64 {
			return math.Float64frombits(rapid.Uint64().Filter(func(u uint64) bool { return finite(math.Float64frombits(u)) }).Draw(rt, "bits"))
		})
		was := tr
		was.Note = rapid.String().Draw(rt, "note")
		was.Place = rapid.String().Draw(rt, "place")
		was.Scale = math.Abs(real.Draw(rt, "scale"))
		was.Minutes = num(math.Abs(real.Draw(rt, "minutes")))
		was.Settings = map[string]string{rapid.String().Draw(rt, "key"): rapid.String().Draw(rt, "value")}
		if _, err := b.Do(ctx, "was", func(tx *Tx) error { return Change(tx, &was) }); err != nil {
			rt.Fatal(err)
		}
		before := contents(t, b)
		then := was
		then.Note, then.Scale, then.Minutes, then.Settings, then.Place = "x", 1.5, nil, nil, "y"
		deed, err := b.Do(ctx, "then", func(tx *Tx) error { return Change(tx, &then) })
		if err != nil {
			rt.Fatal(err)
		}
		if _, err := b.Undo(ctx, deed); err != nil {
			rt.Fatal(err)
		}
		if d := cmp.Diff(before, contents(t, b)); d != "" {
			rt.Error(d)
		}
		added, err := b.Do(ctx, "again", func(tx *Tx) error { // likewise a whole row
			was.ID = 0
			return Add(tx, &was)
		})
		if err != nil {
			rt.Fatal(err)
		}
		with := contents(t, b)
		for i := range ID(3) {
			if _, err := b.Undo(ctx, added+i); err != nil {
				rt.Fatal(err)
			}
			if d := cmp.Diff([]string{before, with}[i%2], contents(t, b)); d != "" {
				rt.Error(d)
			}
		}
	})
}

// A number that a removed record had is not given to another, so that its history is
// its own and it can be brought back.
func TestNumbersAreNotUsedAgain(t *testing.T) {
	b := opened(t)
	_, r, tr := tower(t, b)
	gone := done(t, b, func(tx *Tx) error { return Drop[Trial](tx, tr.ID) })
	next := Trial{Revision: r.ID}
	done(t, b, func(tx *Tx) error { return Add(tx, &next) })
	if next.ID == tr.ID {
		t.Errorf("number %d was given again", tr.ID)
	}
	if _, err := b.Undo(ctx, gone); err != nil {
		t.Error(err)
	}
	if got, err := Get[Trial](ctx, b, tr.ID); err != nil || got.ID != tr.ID {
		t.Errorf("%+v, %v", got, err)
	}
}
