package logbook

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// copied is another logbook with the same content and name.
func copied(t *testing.T, b *Book) *Book {
	t.Helper()
	dir := t.TempDir()
	if err := Load(ctx, dir, strings.NewReader(dump(t, b)), Options{Now: clock()}); err != nil {
		t.Fatal(err)
	}
	c, err := Open(ctx, dir, Options{Now: clock()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

func merged(t *testing.T, into, from *Book, p Prefer) *Merged {
	t.Helper()
	m, err := into.Merge(ctx, strings.NewReader(dump(t, from)), MergeOptions{What: "import", Prefer: p})
	if c := (*ClashError)(nil); errors.As(err, &c) {
		t.Fatalf("%+v", c.Clashes)
	}
	if err != nil {
		t.Fatal(err)
	}
	if found, err := into.Examine(ctx); len(found) > 0 || err != nil {
		t.Fatal(found, err)
	}
	return m
}

// clashes is the refusal of a merge; the logbook must stay as it was, to the byte.
func clashes(t *testing.T, into, from *Book) []Clash {
	t.Helper()
	before := dump(t, into)
	_, err := into.Merge(ctx, strings.NewReader(dump(t, from)), MergeOptions{What: "import"})
	var c *ClashError
	if !errors.As(err, &c) {
		t.Fatalf("no contradiction: %v", err)
	}
	if d := cmp.Diff(before, dump(t, into)); d != "" {
		t.Errorf("refused, and yet changed: %s", d)
	}
	return c.Clashes
}

// said is what stands in a logbook without any number of a row: every record by what
// it says and what it belongs to, in order. It is asked of the database in words of
// its own and shares nothing with Merge.
func said(t *testing.T, b *Book) []string {
	t.Helper()
	const trial = "(SELECT r.sha256 || k.at || k.note || coalesce(k.minutes, '') FROM trials k JOIN revisions r ON r.id = k.revision WHERE k.id = x.trial)"
	var out []string
	for table, text := range map[string]string{
		"printers":    "name || bed_x_mm || bed_y_mm || retired || note",
		"spools":      "name || material || colour || note",
		"revisions":   "(SELECT name FROM designs d WHERE d.id = x.design) || sha256 || question || note",
		"trials":      "(SELECT sha256 FROM revisions r WHERE r.id = x.revision) || at || note || outcome || coalesce(minutes, '-') || coalesce(grams, '-') || coalesce((SELECT name FROM printers p WHERE p.id = x.printer), '-')",
		"readings":    trial + " || kind || coalesce(measured_mm, '-') || coalesce(gap_mm, '-') || felt || note",
		"trial_parts": trial + " || part || copies",
		"faults":      trial + " || what || cause || cure",
		"photos":      trial + " || sha256 || name",
		"solves":      "(SELECT sha256 FROM revisions r WHERE r.id = x.revision) || at || who || coalesce(minutes, '-')",
		"checks":      "rule || coalesce(at_least, '-') || rests || (SELECT what FROM faults f WHERE f.id = x.fault)",
		"proofs":      "sha256 || verdict || at",
	} {
		rows, err := b.db.Query("SELECT coalesce(" + text + ", 'a part is missing ' || id) FROM " + table + " x")
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			var s string
			if err := rows.Scan(&s); err != nil {
				t.Fatal(err)
			}
			out = append(out, table+" "+s)
		}
		rows.Close()
	}
	slices.Sort(out)
	return out
}

// Into an empty logbook the file comes as it is; the same again, or an older state of
// it, changes nothing; what it has further on comes with its deeds.
func TestMergeSameLogbook(t *testing.T) {
	a := full(t)
	b := opened(t)
	if m := merged(t, b, a, ""); !m.Whole || dump(t, b) != dump(t, a) {
		t.Errorf("%+v", m)
	}
	if m := merged(t, b, a, ""); !m.Older || dump(t, b) != dump(t, a) {
		t.Errorf("%+v", m)
	}
	old := dump(t, a)
	done(t, a, func(tx *Tx) error { return Add(tx, &Printer{Name: "Swift"}) })
	if m := merged(t, b, a, ""); !m.Whole || m.Added["printers"] != 1 || dump(t, b) != dump(t, a) {
		t.Errorf("%+v", m)
	}
	if m, err := b.Merge(ctx, strings.NewReader(old), MergeOptions{}); err != nil || !m.Older || dump(t, b) != dump(t, a) {
		t.Errorf("%+v, %v", m, err)
	}
}

// Another logbook is taken in once; taken back it is gone, and can come again.
func TestMergeOther(t *testing.T) {
	a, b := full(t), opened(t)
	done(t, b, func(tx *Tx) error {
		return joined(joined(Add(tx, &Printer{Name: "kestrel", Note: "mine"}), Add(tx, &Printer{Name: "Robin"})), Add(tx, &Design{Name: "hut"}))
	})
	before := said(t, b)
	for range 2 {
		m := merged(t, b, a, "")
		if m.Whole || m.Added["trials"] != 1 || m.Added["photos"] != 1 || m.Added["printers"] != 0 || m.Kept["printers"] != 1 || m.Deed == 0 {
			t.Errorf("%+v", m)
		}
		got := said(t, b)
		for _, s := range said(t, a) {
			if s = strings.Replace(s, "printers Kestrel000", "printers kestrel000mine", 1); strings.Contains(s, "Kestrel") {
				s = strings.Replace(s, "Kestrel", "kestrel", 1)
			}
			s = strings.Replace(s, "kestrel0.00.00", "kestrel0.00.00mine", 1)
			if !slices.Contains(got, s) {
				t.Errorf("missing: %s", s)
			}
		}
		if again := merged(t, b, a, ""); again.Deed != 0 || len(again.Added)+len(again.Changed)+len(again.Removed) != 0 {
			t.Errorf("twice: %+v", again)
		}
		if _, err := b.Undo(ctx, m.Deed); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(before, said(t, b)); d != "" {
			t.Errorf("taken back: %s", d)
		}
	}
}

// What is renamed here after an import is known again, and is not doubled; what was
// removed here stays so; back in the first logbook all of it is known.
func TestMergeKnowsAgain(t *testing.T) {
	a, b := full(t), opened(t)
	done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: "Robin"}) })
	merged(t, b, a, "")
	done(t, b, func(tx *Tx) error {
		p, err := All[Printer](ctx, tx, "name = 'Kestrel'")
		if err != nil {
			return err
		}
		p[0].Name = "Falcon"
		rs, err := All[Reading](ctx, tx, "")
		if err != nil {
			return err
		}
		return joined(Change(tx, &p[0]), Drop[Reading](tx, rs[0].ID))
	})
	want := said(t, b)
	if m := merged(t, b, a, ""); m.Deed != 0 || m.Kept["printers"] != 1 || m.Kept["readings"] != 1 {
		t.Errorf("%+v", m)
	}
	if d := cmp.Diff(want, said(t, b)); d != "" {
		t.Error(d)
	}
	if m := merged(t, a, b, ""); m.Changed["printers"] != 1 || m.Removed["readings"] != 1 || m.Added["trials"] != 0 {
		t.Errorf("%+v", m)
	}
	if d := cmp.Diff(want, said(t, a)); d != "" {
		t.Error(d)
	}
}

// Two copies of a logbook, worked on apart in different records and fields, come
// together in the same content whichever way they are merged.
func TestMergeApart(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute with the race detector, which uses -short; the plain run has it")
	}
	for seed := range uint64(8) {
		rng := rand.New(rand.NewPCG(seed, 7))
		a := full(t)
		a.quietFrom = int(seed % 2)
		done(t, a, func(tx *Tx) error { return someReadings2(tx, 12) })
		b := copied(t, a)
		work(t, a, rng, 0)
		work(t, b, rng, 1)
		a2, b2 := copied(t, a), copied(t, b)
		merged(t, a, b2, "")
		merged(t, b, a2, "")
		if d := cmp.Diff(said(t, a), said(t, b)); d != "" {
			t.Errorf("seed %d: %s", seed, d)
		}
		want := said(t, a)
		for i := range 2 { // the first time notes which records of the two are one
			if m := merged(t, a, b, ""); i > 0 && m.Deed != 0 || len(m.Added)+len(m.Changed)+len(m.Removed) != 0 {
				t.Errorf("seed %d: once more changes something: %+v", seed, m)
			}
		}
		if d := cmp.Diff(want, said(t, a)); d != "" {
			t.Errorf("seed %d: once more: %s", seed, d)
		}
	}
}

func someReadings2(tx *Tx, n int) error {
	for i := range n {
		tr := Trial{Revision: 1, Note: fmt.Sprint("print ", i), Minutes: num(float64(i))}
		if err := Add(tx, &tr); err != nil {
			return err
		}
		if err := Add(tx, &Reading{Trial: tr.ID, Kind: Gap, Gap: num(0.1), Felt: Slides}); err != nil {
			return err
		}
	}
	return nil
}

// work changes, adds and removes at random in the trials of one remainder by two.
func work(t *testing.T, b *Book, rng *rand.Rand, mine ID) {
	t.Helper()
	for range 12 {
		done(t, b, func(tx *Tx) error {
			all, err := All[Trial](ctx, tx, "note LIKE 'print%' AND id % 2 = ? AND id < 15", mine)
			if err != nil || len(all) == 0 {
				return err
			}
			tr := all[rng.IntN(len(all))]
			switch rng.IntN(5) {
			case 0:
				return Drop[Trial](tx, tr.ID)
			case 1:
				tr.Minutes = num(rng.Float64())
				return Change(tx, &tr)
			case 2:
				return Add(tx, &Reading{Trial: tr.ID, Kind: Bore, Measured: num(rng.Float64())})
			case 3:
				n := Trial{Revision: 1, Note: fmt.Sprint("new ", rng.Uint64())}
				return joined(Add(tx, &n), Add(tx, &Reading{Trial: n.ID, Kind: Bore, Measured: num(rng.Float64())}))
			default: // the same record on both sides, in other fields
				one, err := Get[Trial](ctx, tx, 1)
				if err != nil {
					return err
				}
				if mine == 0 {
					one.Minutes = num(rng.Float64())
				} else {
					one.Note = fmt.Sprint(rng.Uint64())
				}
				return Change(tx, &one)
			}
		})
	}
}

// A contradiction is named with its line and changes nothing, until one side is
// preferred; what was here then stays in the history.
func TestMergeClash(t *testing.T) {
	a := full(t)
	b := copied(t, a)
	set := func(k *Book, minutes float64) {
		done(t, k, func(tx *Tx) error {
			tr, err := Get[Trial](ctx, tx, 1)
			if err != nil {
				return err
			}
			tr.Minutes = num(minutes)
			return Change(tx, &tr)
		})
	}
	set(a, 101)
	set(b, 102)
	got := clashes(t, a, b)
	if len(got) != 1 || got[0].What != "trial 1: minutes is 101 here and 102 in the file; both were changed since they were alike" {
		t.Fatalf("%+v", got)
	}
	if line := strings.Split(dump(t, b), "\n")[got[0].Line-1]; !strings.HasPrefix(line, `{"table":"trials","row":{"id":1,`) || !strings.Contains(line, `"minutes":102`) {
		t.Errorf("line %d is %s", got[0].Line, line)
	}
	for p, want := range map[Prefer]float64{PreferHere: 101, PreferFile: 102} {
		k := copied(t, a)
		if m := merged(t, k, b, p); len(m.Clashes) != 1 {
			t.Errorf("%+v", m)
		}
		tr, err := Get[Trial](ctx, k, 1)
		if err != nil || *tr.Minutes != want {
			t.Errorf("%s: %v, %v", p, *tr.Minutes, err)
		}
		past, err := PastOf[Trial](ctx, k, 1)
		if err != nil || p == PreferFile && !strings.Contains(string(past[0].Before), "101") {
			t.Errorf("%v, %v", past, err)
		}
	}
}

// An import of a copy that was taken back can come again; what was added before the
// logbook was copied, and taken back here, stays away.
func TestMergeUndone(t *testing.T) {
	a := full(t)
	add := func(b *Book, name string) ID {
		return done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: name}) })
	}
	robin := add(a, "Robin")
	b := copied(t, a)
	add(a, "Falcon")
	add(b, "Swift")
	if _, err := a.Undo(ctx, robin); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		m := merged(t, a, b, "")
		if m.Added["printers"] != 1 || m.Kept["printers"] != 1 {
			t.Errorf("%+v", m)
		}
		if _, err := a.Undo(ctx, m.Deed); err != nil {
			t.Fatal(err)
		}
	}
}

// Removed on one side and changed, or built upon, on the other.
func TestMergeRemoved(t *testing.T) {
	a := full(t)
	done(t, a, func(tx *Tx) error { return someReadings2(tx, 2) })
	b := copied(t, a)
	done(t, a, func(tx *Tx) error { return Drop[Trial](tx, 2) })
	done(t, b, func(tx *Tx) error { return Add(tx, &Reading{Trial: 2, Kind: Bore, Measured: num(3)}) })
	got := clashes(t, a, b)
	if len(got) != 1 || got[0].Line == 0 || !strings.Contains(got[0].What, "belongs to trial 2, which was removed here") {
		t.Errorf("%+v", got)
	}
	got = clashes(t, b, a)
	if len(got) != 1 || got[0].Line != 0 || !strings.HasPrefix(got[0].What, "trial 2 was removed in the file, but reading ") {
		t.Errorf("%+v", got)
	}
	here, file := copied(t, a), copied(t, a)
	merged(t, here, b, PreferHere)
	merged(t, file, b, PreferFile)
	if d := cmp.Diff(said(t, a), said(t, here)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(said(t, b), said(t, file)); d != "" {
		t.Error(d)
	}
	merged(t, b, a, PreferFile)
	if d := cmp.Diff(said(t, a), said(t, b)); d != "" {
		t.Error(d)
	}
}

// Two logbooks that never were one: revisions get numbers of their own, fields that
// one of them left empty are filled, others are contradictions.
func TestMergeStrangers(t *testing.T) {
	make := func(sha int, bed float64, note string) *Book {
		b := opened(t)
		done(t, b, func(tx *Tx) error {
			d := Design{Name: "tower", Title: note}
			if err := joined(Add(tx, &d), Add(tx, &Printer{Name: "Kestrel", BedX: bed, Note: note})); err != nil {
				return err
			}
			one, two := Revision{Design: d.ID, Number: 1, SHA256: sum(9)}, Revision{Design: d.ID, Number: 2, SHA256: sum(sha), Parent: 1}
			return joined(Add(tx, &one), Add(tx, &two))
		})
		return b
	}
	a, b, c := make(1, 220, ""), make(2, 220, "the old one"), make(3, 235, "")
	m := merged(t, a, b, "")
	if len(m.Notes) != 1 || m.Notes[0] != "revision 2 of design tower in the file is revision 3 here" || m.Changed["printers"] != 1 {
		t.Errorf("%+v", m)
	}
	revs, err := All[Revision](ctx, a, "")
	if err != nil || len(revs) != 3 || revs[2].Number != 3 || revs[2].SHA256 != sum(2) || revs[2].Parent != revs[0].ID {
		t.Errorf("%+v, %v", revs, err)
	}
	if got := clashes(t, a, c); len(got) != 1 || got[0].What != "printer Kestrel: bed_x_mm is 220 here and 235 in the file" {
		t.Errorf("%+v", got)
	}
}

// A file that is spoiled, or an import that is stopped or only tried, changes nothing.
func TestMergeAllOrNothing(t *testing.T) {
	text := dump(t, full(t))
	b := opened(t)
	done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: "Robin"}) })
	before := dump(t, b)
	lines := strings.SplitAfter(strings.TrimSuffix(text, "\n"), "\n")
	check := func(what string) {
		t.Helper()
		e, err := os.ReadDir(b.Dir())
		if err != nil || dump(t, b) != before || slices.ContainsFunc(e, func(f os.DirEntry) bool { return f.IsDir() }) {
			t.Errorf("%s: something was changed: %v, %v", what, e, err)
		}
	}
	for i := 0; i < len(lines); i += 2 {
		cut := strings.Join(append(slices.Clone(lines[:i]), lines[i+1:]...), "")
		if _, err := b.Merge(ctx, strings.NewReader(cut), MergeOptions{}); err == nil || !strings.HasPrefix(err.Error(), "line ") {
			t.Errorf("without line %d: %v", i+1, err)
		}
		check("spoiled")
	}
	// whole by its sum, but with a row that belongs to nothing, and with no number
	for _, r := range [][2]string{{`"trial":1,`, `"trial":99,`}, {`"row":{"id":1,"revision":1`, `"row":{"id":null,"revision":1`}, {`"outcome":"binds"`, `"outcome":{}`}} {
		bad := strings.SplitAfter(strings.Replace(strings.Join(lines[:len(lines)-1], ""), r[0], r[1], 1), "\n")
		sum := sha256.Sum256([]byte(strings.Join(bad, "")))
		file := strings.Join(bad, "") + `{"sha256":"` + hex.EncodeToString(sum[:]) + "\"}\n"
		if _, err := b.Merge(ctx, strings.NewReader(file), MergeOptions{}); err == nil {
			t.Errorf("%s was taken", r[1])
		}
		check(r[1])
	}
	m, err := b.Merge(ctx, strings.NewReader(text), MergeOptions{Try: true})
	if err != nil || m.Deed != 0 || m.Added["trials"] != 1 {
		t.Errorf("%+v, %v", m, err)
	}
	check("tried")
	stopped, stop := context.WithCancel(ctx)
	stop()
	if _, err := b.Merge(stopped, strings.NewReader(text), MergeOptions{}); err == nil {
		t.Error("went on after the end")
	}
	check("stopped")
}

// A file of an older feint is brought up to date on the way, with the same lines.
func TestMergeOlderForm(t *testing.T) {
	dir := older(t)
	b, err := Open(ctx, dir, Options{Now: clock()})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	lines := strings.SplitAfter(dump(t, b), "\n")
	var head, rest string
	for i, l := range lines {
		switch {
		case i == 0:
			head = strings.Replace(l, `"version":5`, `"version":1`, 1)
		case strings.Contains(l, `"readings","row"`):
			rest += strings.Replace(l, `,"axis":""`, "", 1)
		case !strings.Contains(l, `{"sha256"`):
			rest += l
		}
	}
	s := sha256.Sum256([]byte(head + rest))
	file := head + rest + `{"sha256":"` + hex.EncodeToString(s[:]) + "\"}\n"
	other := opened(t)
	done(t, other, func(tx *Tx) error { return Add(tx, &Printer{Name: "Robin"}) })
	m, err := other.Merge(ctx, strings.NewReader(file), MergeOptions{})
	if err != nil || m.Added["readings"] != 1 {
		t.Fatalf("%+v, %v", m, err)
	}
	if got, err := All[Reading](ctx, other, ""); err != nil || len(got) != 1 || got[0].Note != "again" || *got[0].Measured != 11.86 {
		t.Errorf("%+v, %v", got, err)
	}
}

// Photos come along, and are told where the file was written without them.
func TestMergePhotos(t *testing.T) {
	a, b := full(t), opened(t)
	done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: "Robin"}) })
	var w bytes.Buffer
	if err := a.Dump(ctx, &w, false); err != nil {
		t.Fatal(err)
	}
	m, err := b.Merge(ctx, &w, MergeOptions{})
	if err != nil || m.Photos != 1 {
		t.Fatalf("%+v, %v", m, err)
	}
	if _, err := b.Undo(ctx, m.Deed); err != nil {
		t.Fatal(err)
	}
	if m := merged(t, b, a, ""); m.Photos != 0 {
		t.Errorf("%+v", m)
	}
	if all, _ := filepath.Glob(filepath.Join(b.Dir(), PhotoDir, "*")); len(all) != 2 {
		t.Errorf("%q", all)
	}
}
