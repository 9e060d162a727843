package logbook

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestAddAndGet(t *testing.T) {
	b := opened(t)
	_, r, tr := tower(t, b)
	got, err := Get[Trial](ctx, b, tr.ID)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(tr, got); d != "" {
		t.Error(d)
	}
	rev, err := Get[Revision](ctx, b, r.ID)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(r, rev, cmpopts.EquateEmpty()); d != "" {
		t.Error(d)
	}
	// 00:32 in summer time is the evening before in UTC; both must come back.
	if s := got.At.Format("2006-01-02 15:04 -0700"); s != "2026-07-01 00:31 +0200" {
		t.Errorf("the time came back as %s", s)
	}
	if s := got.At.UTC().Format("2006-01-02 15:04"); s != "2026-06-30 22:31" {
		t.Errorf("in UTC it is %s", s)
	}
	if _, err := Get[Trial](ctx, b, 99); !errors.Is(err, ErrNoSuch) {
		t.Errorf("a trial that is not there: %v", err)
	}
}

func TestFailedDeedLeavesNothing(t *testing.T) {
	b := opened(t)
	_, _, tr := tower(t, b)
	_, err := b.Do(ctx, "half a deed", func(tx *Tx) error {
		if err := Drop[Trial](tx, tr.ID); err != nil {
			return err
		}
		return errors.New("stopped")
	})
	if err == nil {
		t.Fatal("no error")
	}
	if _, err := Get[Trial](ctx, b, tr.ID); err != nil {
		t.Error(err)
	}
	if id, err := b.Do(ctx, "nothing", func(*Tx) error { return ErrNothing }); id != 0 || err != nil {
		t.Error(id, err)
	}
}

func TestRefused(t *testing.T) {
	b := opened(t)
	_, r, tr := tower(t, b)
	for name, f := range map[string]func(*Tx) error{
		"word":      func(tx *Tx) error { return Add(tx, &Trial{Revision: r.ID, Outcome: "bindz"}) },
		"both":      func(tx *Tx) error { return Add(tx, &Reading{Trial: tr.ID, Kind: Bore, Measured: num(1), Felt: Tight}) },
		"neither":   func(tx *Tx) error { return Add(tx, &Reading{Trial: tr.ID, Kind: Bore}) },
		"no gap":    func(tx *Tx) error { return Add(tx, &Reading{Trial: tr.ID, Kind: Gap, Felt: Tight}) },
		"no trial":  func(tx *Tx) error { return Add(tx, &Reading{Trial: 99, Kind: Bore, Measured: num(1)}) },
		"name":      func(tx *Tx) error { return Add(tx, &Printer{Name: "kestrel"}) },
		"names":     func(tx *Tx) error { return Add(tx, &Solve{Revision: r.ID, Who: "Ingrid"}) },
		"infinite":  func(tx *Tx) error { return Add(tx, &Printer{Name: "x", BedX: 1 / zero()}) },
		"in use":    func(tx *Tx) error { return Drop[Printer](tx, 1) },
		"not there": func(tx *Tx) error { return Change(tx, &Trial{ID: 99, Revision: r.ID}) },
		"same":      func(tx *Tx) error { return Add(tx, &Revision{Design: 1, Number: 2, SHA256: sum(1)}) },
	} {
		if _, err := b.Do(ctx, name, f); err == nil {
			t.Errorf("%s: not refused", name)
		} else {
			t.Logf("%s: %v", name, err)
		}
	}
}

func zero() float64 { return 0 }
