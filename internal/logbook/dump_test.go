package logbook

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// full is a logbook with something in every table.
func full(t *testing.T) *Book {
	t.Helper()
	b := opened(t)
	d, r, tr := tower(t, b)
	done(t, b, func(tx *Tx) error {
		f := Fault{Revision: r.ID, Trial: tr.ID, What: "binds <at> \"ring\" 3 & hält\n=1+1", Margin: num(-tenth() - 0.2)}
		y := Yield{SHA256: sum(1), Prints: 100, Work: 96, Bind: 3, Leak: 1}
		return joined(joined(Add(tx, &f), Add(tx, &y)), joined(
			joined(joined(Add(tx, &Nozzle{Name: "0.4", Diameter: 0.4}), Add(tx, &Spool{Name: "red", Density: num(1.24)})),
				joined(Add(tx, &Profile{Name: "fine", Layer: num(0.12)}), Add(tx, &TrialPart{Trial: tr.ID, Part: "ring 3"}))),
			joined(joined(Add(tx, &Reading{Trial: tr.ID, Kind: Bore, Measured: num(11.86), Uncertainty: num(0.02)}),
				Add(tx, &Check{Design: d.ID, Fault: f.ID, Rule: "bind", AtLeast: num(0.09)})),
				joined(Add(tx, &Solve{Revision: r.ID, Who: "AK", Minutes: num(22)}),
					Add(tx, &Proof{SHA256: sum(1), Verdict: "works", BindLo: num(0.1), Way: []WayMove{{Part: "rod", Clearance: num(1.0 / 3)}}})))))
	})
	done(t, b, func(tx *Tx) error { tr.Note = "again"; return Change(tx, &tr) })
	done(t, b, func(tx *Tx) error {
		_, err := tx.exec("INSERT INTO origins(book, tbl, theirs, ours, n) VALUES ('GARAGE', 'trials', 7, 1, 1)")
		return err
	})
	done(t, b, func(tx *Tx) error {
		return KeepPhoto(tx, bytes.NewReader(picture(t, 640, 480)), &Photo{Trial: tr.ID, Name: "ring.png"})
	})
	return b
}

func dump(t *testing.T, b *Book) string {
	t.Helper()
	var w bytes.Buffer
	if err := b.Dump(ctx, &w, true); err != nil {
		t.Fatal(err)
	}
	return w.String()
}

// What is dumped and loaded is dumped again to the same bytes, photos included,
// and goes on being kept with its history.
func TestDumpAndLoad(t *testing.T) {
	b := full(t)
	text := dump(t, b)
	for _, table := range dumped() {
		if !strings.Contains(text, `{"table":"`+table+`"`) {
			t.Errorf("the fixture has no row of %s", table)
		}
	}
	dir := t.TempDir()
	if err := Load(ctx, dir, strings.NewReader(text), Options{Now: clock()}); err != nil {
		t.Fatal(err)
	}
	c, err := Open(ctx, dir, Options{Now: clock()})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if d := cmp.Diff(text, dump(t, c)); d != "" {
		t.Error(d)
	}
	if found, err := c.Examine(ctx); len(found) > 0 || err != nil {
		t.Error(found, err)
	}
	n1, err1 := b.Name(ctx)
	n2, err2 := c.Name(ctx)
	if n1 != n2 || n1 == "" || err1 != nil || err2 != nil {
		t.Errorf("names %q, %q", n1, n2)
	}
	if _, err := c.Undo(ctx, 0); err != nil {
		t.Error(err)
	}
	if err := Load(ctx, dir, strings.NewReader(text), Options{Now: clock()}); err == nil {
		t.Error("a logbook was loaded over another")
	}
	left, _ := filepath.Glob(filepath.Join(dir, ".feint*"))
	if len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// A folder may be named from where the process stands.
func TestLoadRelative(t *testing.T) {
	text := dump(t, full(t))
	t.Chdir(t.TempDir())
	if err := os.Mkdir("other", 0o755); err != nil {
		t.Fatal(err)
	}
	if err := Load(ctx, "other", strings.NewReader(text), Options{Now: clock()}); err != nil {
		t.Fatal(err)
	}
	b, err := Open(ctx, "other", Options{Now: clock()})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if dump(t, b) != text {
		t.Error("not the same")
	}
}

// A spoiled dump leaves no logbook: lines taken out, cut short or changed.
func TestLoadSpoiled(t *testing.T) {
	lines := strings.SplitAfter(strings.TrimSuffix(dump(t, full(t)), "\n"), "\n")
	dir := t.TempDir()
	try := func(name, text string) {
		t.Helper()
		err := Load(ctx, dir, strings.NewReader(text), Options{Now: clock()})
		if err == nil {
			t.Errorf("%s: loaded", name)
		}
		if e, _ := os.ReadDir(dir); len(e) > 0 {
			t.Fatalf("%s: left %v", name, e)
		}
	}
	for i := 0; i < len(lines); i += 3 { // a third of the lines, and the last: every try waits for the disk
		without := append(append([]string{}, lines[:i]...), lines[i+1:]...)
		try("without line", strings.Join(without, ""))
		try("cut in line", strings.Join(lines[:i], "")+lines[i][:len(lines[i])/2])
	}
	try("without the last line", strings.Join(lines[:len(lines)-1], ""))
	whole := strings.Join(lines, "")
	try("a number changed", strings.Replace(whole, "11.86", "11.68", 1))
	try("a table of our own", strings.Replace(whole, `"table":"solves"`, `"table":"sqlite_master"`, 1))
	try("a column", strings.Replace(whole, `"who"`, `"id = 1; --"`, 1))
	try("a path", strings.Replace(whole, `"photo":"`, `"photo":"../../`, 1))
	try("a newer one", strings.Replace(whole, `"version":5`, `"version":6`, 1))
	try("nothing", "")
	try("more", whole+"\n{}\n")
}

func TestCSV(t *testing.T) {
	b := full(t)
	var w bytes.Buffer
	if err := b.CSV(ctx, &w, "faults"); err != nil {
		t.Fatal(err)
	}
	// RFC 4180: quotes doubled, a field with a quote or a line break within quotes.
	if !strings.Contains(w.String(), "\"binds <at> \"\"ring\"\" 3 & hält\n=1+1\"") || !strings.HasPrefix(w.String(), "id,revision,trial,at,at_offset,") {
		t.Error(w.String())
	}
	if !strings.Contains(w.String(), "-0.30000000000000004") {
		t.Error("a number lost digits: " + w.String())
	}
	for _, table := range Tables() {
		if err := b.CSV(ctx, &w, table); err != nil {
			t.Error(err)
		}
	}
	if err := b.CSV(ctx, &w, "trails"); err == nil || !strings.Contains(err.Error(), "did you mean trials?") {
		t.Error(err)
	}
	if csvText("=HYPERLINK(1)") != "'=HYPERLINK(1)" {
		t.Error("a formula stays one")
	}
}

// tenth is 0.1 at run time: a sum of constants would be exact.
func tenth() float64 { return 0.1 }
