package logbook

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

// large is a workshop of many years: 5000 trials with 20 000 readings, of 8 designs
// with 40 revisions each, a fault in every third trial, as numbers made by a
// generator with a fixed seed.
func large(tb testing.TB) *Book {
	tb.Helper()
	b, err := Create(ctx, tb.TempDir(), Options{Now: time.Now})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { b.Close() })
	if err := fillLarge(b); err != nil {
		tb.Fatal(err)
	}
	return b
}

func fillLarge(b *Book) error {
	rng := rand.New(rand.NewPCG(5, 6))
	_, err := b.Do(ctx, "large", func(tx *Tx) error {
		for _, p := range []string{"Kestrel", "Heron", "Swift"} {
			if err := Add(tx, &Printer{Name: p}); err != nil {
				return err
			}
		}
		if err := Add(tx, &Spool{Name: "red"}); err != nil {
			return err
		}
		for d := range 8 {
			if err := largeDesign(tx, d, rng); err != nil {
				return err
			}
		}
		return nil
	})
	return err
}

func largeDesign(tx *Tx, d int, rng *rand.Rand) error {
	k := Design{Name: fmt.Sprint("design ", d)}
	if d == 0 {
		k.Name = "tower"
	}
	if err := Add(tx, &k); err != nil {
		return err
	}
	for r := range 40 {
		rev := Revision{Design: k.ID, Number: r + 1, SHA256: sum(100*d + r), Params: map[string]float64{"side gap": 0.2 + 0.001*float64(r)}}
		proof := Proof{SHA256: rev.SHA256, Verdict: "works", Moves: count(12), BindLo: num(0.1), BindHi: num(0.11), Grams: num(40), Minutes: num(90), Parts: []string{"rod", "ring 3"}}
		for m := range 12 {
			proof.Way = append(proof.Way, WayMove{Part: "rod", Against: "ring 3", Clearance: num(0.2), Words: fmt.Sprint("a move ", m, r%3)})
		}
		if err := joined(Add(tx, &rev), Add(tx, &proof)); err != nil {
			return err
		}
		n := 15
		if r < 25 {
			n = 16
		}
		for i := range n {
			if err := largeTrial(tx, &rev, i, rng); err != nil {
				return err
			}
		}
	}
	return nil
}

func largeTrial(tx *Tx, rev *Revision, i int, rng *rand.Rand) error {
	t := Trial{Revision: rev.ID, Printer: ID(1 + rng.IntN(3)), Spool: 1, Minutes: num(80 + 20*rng.Float64()), Grams: num(40 + rng.Float64()), Outcome: Works}
	if i%3 == 0 {
		t.Outcome, t.Place = Binds, "ring 3"
	}
	if err := Add(tx, &t); err != nil {
		return err
	}
	for range 4 {
		if err := Add(tx, &Reading{Trial: t.ID, Kind: Bore, Nominal: num(12), Measured: num(11.8 + 0.1*rng.Float64()), Uncertainty: num(0.02)}); err != nil {
			return err
		}
	}
	if i%3 == 0 {
		f := Fault{Revision: rev.ID, Trial: t.ID, Place: "ring 3", What: "binds at ring 3"}
		if err := Add(tx, &f); err != nil {
			return err
		}
		if i == 0 {
			return Add(tx, &Check{Design: rev.Design, Fault: f.ID, Rule: "bind", AtLeast: num(0.08)})
		}
	}
	return nil
}

// BenchmarkCommands measures what every command does between opening and closing the
// logbook, opening and closing included, on the large workshop.
func BenchmarkCommands(b *testing.B) {
	book := large(b)
	if n, err := All[Trial](ctx, book, ""); err != nil || len(n) != 5000 {
		b.Fatal(len(n), err)
	}
	if n, err := All[Reading](ctx, book, ""); err != nil || len(n) != 20000 {
		b.Fatal(len(n), err)
	}
	dir := book.Dir()
	book.Close()
	for _, c := range []struct {
		name string
		run  func(b *Book) error
	}{
		{"open and close", func(*Book) error { return nil }},
		{"log a line", func(b *Book) error { return logOne(b, "95 min, 41 g, binds at ring 3, bore 12 = 11.86 +-0.02") }},
		{"log and undo", func(b *Book) error {
			err := logOne(b, "95 min")
			_, undo := b.Undo(ctx, 0)
			return joined(err, undo)
		}},
		{"last prints", func(b *Book) error { _, err := LastTrials(ctx, b, 10); return err }},
		{"all prints", func(b *Book) error { _, err := LastTrials(ctx, b, 0); return err }},
		{"list all readings", func(b *Book) error { _, err := List(ctx, b, "readings", 0); return err }},
		{"show a trial", func(b *Book) error { _, _, err := Show(ctx, b, "trial", 2500); return err }},
		{"history", func(b *Book) error { _, err := Deeds(ctx, b, 30); return err }},
		{"readings of a printer", func(b *Book) error { _, err := ReadingsWith(ctx, b, Setup{Printer: 2}); return err }},
		{"costs of all", func(b *Book) error { _, err := CostsWith(ctx, b, Setup{}); return err }},
		{"tree of revisions", func(b *Book) error {
			revs, err := Revisions(ctx, b, 1)
			Tree(revs)
			return err
		}},
		{"two revisions", func(b *Book) error {
			revs, err := Revisions(ctx, b, 1)
			Compare(&revs[3], &revs[30])
			return err
		}},
		{"standing checks", judgeAll},
		{"csv of readings", func(b *Book) error { var w bytes.Buffer; return b.CSV(ctx, &w, "readings") }},
		{"export", func(b *Book) error { var w bytes.Buffer; return b.Dump(ctx, &w, true) }},
		{"examine", func(b *Book) error { _, err := b.Examine(ctx); return err }},
		{"copy before a change of form", func(b *Book) error { return b.backup(ctx, "bench") }},
	} {
		b.Run(c.name, func(b *testing.B) {
			for range b.N {
				k, err := Open(ctx, dir, Options{Now: time.Now})
				if err != nil {
					b.Fatal(err)
				}
				if err := joined(c.run(k), k.Close()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	var dumped bytes.Buffer
	again, err := Open(ctx, dir, Options{Now: time.Now})
	if err != nil {
		b.Fatal(err)
	}
	if err := joined(again.Dump(ctx, &dumped, true), again.Close()); err != nil {
		b.Fatal(err)
	}
	b.Run("import", func(b *testing.B) {
		for range b.N {
			if err := Load(ctx, b.TempDir(), bytes.NewReader(dumped.Bytes()), Options{Now: time.Now}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func logOne(b *Book, text string) error {
	v, err := Words(ctx, b, []string{"rod", "ring 3"}, nil)
	if err != nil {
		return err
	}
	v.Now = time.Now()
	l, err := ReadLine(text, v)
	if err != nil {
		return err
	}
	_, err = b.Do(ctx, text, func(tx *Tx) error {
		_, err := Enter(ctx, tx, &Printed{Design: Design{Name: "tower"}, SHA256: sum(5)}, l)
		return err
	})
	return err
}

func judgeAll(b *Book) error {
	checks, err := ChecksOf(ctx, b, 1)
	if err != nil {
		return err
	}
	p, _, err := ProofOf(ctx, b, sum(5))
	for i := range checks {
		Judge(&checks[i], &p)
	}
	return err
}
