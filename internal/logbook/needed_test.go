package logbook

import (
	"strings"
	"testing"
)

// What cannot be removed is told with what names it and what to do, and is there still.
func TestNeeded(t *testing.T) {
	b := opened(t)
	d, r, tr := tower(t, b)
	done(t, b, func(tx *Tx) error {
		f := Fault{Revision: r.ID, Trial: tr.ID, What: "binds"}
		if err := Add(tx, &f); err != nil {
			return err
		}
		if err := Add(tx, &Check{Design: d.ID, Fault: f.ID, Rule: "bind", AtLeast: num(0.1), Unit: "mm"}); err != nil {
			return err
		}
		s := Spool{Name: "red"}
		if err := Add(tx, &s); err != nil {
			return err
		}
		tr.Spool = s.ID
		if err := Change(tx, &tr); err != nil {
			return err
		}
		return Add(tx, &Trial{Revision: r.ID, Spool: s.ID})
	})
	before := dump(t, b)
	refused := func(want string, f func(tx *Tx) error) {
		t.Helper()
		if _, err := b.Do(ctx, "drop", f); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
	refused("trial 1 cannot be removed: check 1 names fault 1, which would go with it; feint log drop check 1", func(tx *Tx) error { return Drop[Trial](tx, tr.ID) })
	refused("fault 1 cannot be removed: check 1 names fault 1; feint log drop check 1", func(tx *Tx) error { return Drop[Fault](tx, 1) })
	refused("spool 1 cannot be removed: trial 1 and 1 more name spool 1; feint log edit spool 1 retired=yes", func(tx *Tx) error { return Drop[Spool](tx, 1) })
	refused("trial 9: there is none with this number", func(tx *Tx) error { return Drop[Trial](tx, 9) })
	if dump(t, b) != before {
		t.Error("something was removed")
	}
	done(t, b, func(tx *Tx) error { return Drop[Check](tx, 1) })
	done(t, b, func(tx *Tx) error { return Drop[Trial](tx, tr.ID) })
}

// One undoing after the other goes back deed by deed, also past deeds that were undone
// and brought back.
func TestUndoBackwards(t *testing.T) {
	b := opened(t)
	var states []string
	deed := func(f func(tx *Tx) error) ID {
		states = append(states, contents(t, b))
		return done(t, b, f)
	}
	p := Printer{Name: "Kestrel"}
	deed(func(tx *Tx) error { return Add(tx, &p) })
	p.Note = "new belt"
	deed(func(tx *Tx) error { return Change(tx, &p) })
	p.Note = "old belt"
	last := deed(func(tx *Tx) error { return Change(tx, &p) })
	end := contents(t, b)
	if _, err := b.Undo(ctx, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Undo(ctx, last+1); err != nil || contents(t, b) != end { // it stands again
		t.Fatal(err)
	}
	if _, err := b.Undo(ctx, 1); err == nil || !strings.Contains(err.Error(), "changed printer 1 since") {
		t.Errorf("undone though a deed that was brought back changed it: %v", err)
	}
	if _, err := b.Undo(ctx, last+2); err != nil {
		t.Fatal(err)
	}
	for i := len(states) - 2; i >= 0; i-- {
		if _, err := b.Undo(ctx, 0); err != nil {
			t.Fatal(err)
		}
		if contents(t, b) != states[i] {
			t.Errorf("not as it was before deed %d", i+1)
		}
	}
	if _, err := b.Undo(ctx, 0); err == nil {
		t.Error("there was more to undo")
	}
}
