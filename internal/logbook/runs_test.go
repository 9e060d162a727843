package logbook

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// imported is a logbook into which some hundreds of readings were imported, which was
// taken back and brought again, each noted in runs or row by row.
func imported(t *testing.T, file string, quiet int) *Book {
	t.Helper()
	b := opened(t)
	b.quietFrom = quiet
	done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: "Robin"}) })
	m, err := b.Merge(ctx, strings.NewReader(file), MergeOptions{What: "import"})
	if err != nil {
		t.Fatal(err)
	}
	for d := range ID(2) {
		if _, err := b.Undo(ctx, m.Deed+d); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

// What runs tell of each row is what single entries tell of it, and an export has the
// same lines: it makes the same logbook again, and the two are one history.
func TestRuns(t *testing.T) {
	from := full(t)
	done(t, from, func(tx *Tx) error { return someReadings2(tx, 400) })
	file := dump(t, from)
	runs, single := imported(t, file, 1), imported(t, file, 1_000_000)
	var n int
	if err := runs.db.QueryRow("SELECT count(*) FROM history WHERE run > 1").Scan(&n); err != nil || n < 9 {
		t.Fatalf("%d runs: %v", n, err)
	}
	past := func(b *Book, id ID) (out []string) {
		all, err := PastOf[Reading](ctx, b, id)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range all {
			out = append(out, fmt.Sprintln(p.Deed, p.Table, p.Row, p.Act, string(p.Before)))
		}
		return out
	}
	readings, err := All[Reading](ctx, runs, "")
	if err != nil || len(readings) < 400 {
		t.Fatal(len(readings), err)
	}
	for _, r := range readings {
		want := past(single, r.ID)
		if d := cmp.Diff(want, past(runs, r.ID)); d != "" || len(want) != 3 {
			t.Fatalf("reading %d: %s", r.ID, d)
		}
	}
	if d := cmp.Diff(history(t, single), history(t, runs)); d != "" {
		t.Error(d)
	}
	dumped := dump(t, runs)
	if d := cmp.Diff(dumped, dump(t, copied(t, runs))); d != "" {
		t.Error(d)
	}
	again := copied(t, runs)
	done(t, again, func(tx *Tx) error { return Add(tx, &Printer{Name: "Wren"}) })
	m, err := runs.Merge(ctx, strings.NewReader(dump(t, again)), MergeOptions{})
	if err != nil || !m.Whole || m.Added["printers"] != 1 || m.Added["history"] != 1 {
		t.Errorf("%+v, %v", m, err)
	}
	if d := cmp.Diff(dump(t, again), dump(t, runs)); d != "" {
		t.Error(d)
	}
}

// history is every entry as CSV and export tell it, but for its number and in order.
func history(t *testing.T, b *Book) []string {
	t.Helper()
	var w bytes.Buffer
	if err := b.CSV(ctx, &w, "history"); err != nil {
		t.Fatal(err)
	}
	var out []string
	for line := range strings.Lines(w.String()) {
		_, rest, _ := strings.Cut(line, ",")
		out = append(out, rest)
	}
	for line := range strings.Lines(dump(t, b)) {
		var v struct {
			Table string
			Row   map[string]any
		}
		if json.Unmarshal([]byte(line), &v) == nil && v.Table == "history" {
			delete(v.Row, "id")
			out = append(out, fmt.Sprintln(v.Row))
		}
	}
	slices.Sort(out)
	return out
}

// A row of a run that was changed since is found, and keeps its deed from being undone.
func TestUndoneRun(t *testing.T) {
	from := full(t)
	done(t, from, func(tx *Tx) error { return someReadings2(tx, 300) })
	b := imported(t, dump(t, from), 1)
	deeds, err := Deeds(ctx, b, 1)
	if err != nil {
		t.Fatal(err)
	}
	readings, err := All[Reading](ctx, b, "")
	if err != nil {
		t.Fatal(err)
	}
	r := readings[len(readings)-70]
	r.Note = "again"
	done(t, b, func(tx *Tx) error { return Change(tx, &r) })
	if _, err := b.Undo(ctx, deeds[0].ID); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("changed reading %d since", r.ID)) {
		t.Error(err)
	}
}

// A run that is not what it says is named, and nothing is made of it.
func TestDamagedRun(t *testing.T) {
	for _, change := range []string{"run = run - 1", "run = 1000", "before = before || char(10) || '[]'", `before = replace(before, '"id",', '')`, "before = 'x'"} {
		from := full(t)
		done(t, from, func(tx *Tx) error { return someReadings2(tx, 200) })
		b := imported(t, dump(t, from), 1)
		if _, err := b.db.Exec("UPDATE history SET " + change + " WHERE id = (SELECT max(id) FROM history WHERE run > 2 AND act = 'removed')"); err != nil {
			t.Fatal(err)
		}
		var w bytes.Buffer
		if err := b.Dump(ctx, &w, false); err == nil || !strings.Contains(err.Error(), "is damaged") {
			t.Errorf("%s: %v", change, err)
		}
	}
}
