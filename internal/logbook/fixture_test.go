package logbook

import (
	"context"
	"testing"
	"time"
)

// ctx is where no test waits for anything.
var ctx = context.Background()

// summer is a zone two hours east of UTC.
var summer = time.FixedZone("", 2*3600)

// clock is a time that goes on a minute whenever it is asked.
func clock() func() time.Time {
	t := time.Date(2026, 7, 1, 0, 30, 0, 0, summer)
	return func() time.Time { t = t.Add(time.Minute); return t }
}

func opened(t *testing.T) *Book {
	t.Helper()
	b, err := Create(ctx, t.TempDir(), Options{Now: clock()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func done(t *testing.T, b *Book, f func(*Tx) error) ID {
	t.Helper()
	id, err := b.Do(ctx, t.Name(), f)
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func num(v float64) *float64 { return &v }

// sum is a content hash that differs with n.
func sum(n int) string {
	const hex = "0123456789abcdef"
	b := make([]byte, 64)
	for i := range b {
		b[i] = hex[n>>(4*(i%8))&15]
	}
	return string(b)
}

// tower is a design with one revision and one trial, all invented.
func tower(t *testing.T, b *Book) (d Design, r Revision, tr Trial) {
	t.Helper()
	done(t, b, func(tx *Tx) error {
		d = Design{Name: "tower", Title: "The lighthouse of Sanden", File: "tower/tower.star"}
		if err := Add(tx, &d); err != nil {
			return err
		}
		r = Revision{Design: d.ID, Number: 1, SHA256: sum(1), Question: "does it open at all?", Params: map[string]float64{"side gap": 0.25}}
		if err := Add(tx, &r); err != nil {
			return err
		}
		p := Printer{Name: "Kestrel"}
		if err := Add(tx, &p); err != nil {
			return err
		}
		tr = Trial{Revision: r.ID, Printer: p.ID, Minutes: num(95), Grams: num(41), Outcome: Binds, Place: "ring 3", Settings: map[string]string{"bed": "60"}}
		return Add(tx, &tr)
	})
	return d, r, tr
}
