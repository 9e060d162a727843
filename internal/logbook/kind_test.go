package logbook

import (
	"slices"
	"strings"
	"testing"
)

func TestEditKind(t *testing.T) {
	b := opened(t)
	_, r, tr := tower(t, b)
	edit := func(word string, id ID, settings ...string) error {
		_, err := b.Do(ctx, "edit", func(tx *Tx) error { return EditKind(ctx, tx, word, id, settings) })
		return err
	}
	if err := edit("trial", tr.ID, "outcome=leaks", "minutes=", "grams=40,5", "at=2026-03-01 14:30 +0100", `settings={"bed":"70"}`, "note=a = b", "printer=kestrel", "scale=1.02", "copies=2"); err != nil {
		t.Fatal(err)
	}
	got, err := Get[Trial](ctx, b, tr.ID)
	if err != nil || got.Outcome != Leaks || got.Minutes != nil || *got.Grams != 40.5 || got.Settings["bed"] != "70" || got.Note != "a = b" ||
		got.At.UTC().Hour() != 13 || got.Printer != 1 || got.Scale != 1.02 || got.Copies != 2 || got.Revision != r.ID {
		t.Errorf("%+v, %v", got, err)
	}
	if err := edit("printers", 1, "bed_x=220", "retired=yes"); err != nil {
		t.Error(err)
	}
	for setting, want := range map[string]string{
		"outcom=leaks":   "did you mean outcome?",
		"outcome=leakz":  "did you mean leaks?",
		"grams=many":     "not a number",
		"copies=1.5":     "not a whole number",
		"at=noon":        "offset from UTC",
		"printer=hern":   "there is none",
		"printer=99":     "names something that is not there",
		"settings=hot":   "as JSON",
		"id=7":           "stays what it is",
		"note":           "field=value",
		"scale=-1":       "makes no print",
		"revision=seven": "not the number",
	} {
		if err := edit("trial", tr.ID, setting); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", setting, err, want)
		}
	}
	if err := edit("trail", 1, "note=x"); err == nil || !strings.Contains(err.Error(), "did you mean trial?") {
		t.Error(err)
	}
	fields, past, err := Show(ctx, b, "trial", tr.ID)
	if err != nil || len(past) != 2 || fields[0].Value != "1" {
		t.Errorf("%v %v %v", fields, past, err)
	}
	if !slices.Contains(fields, Field{"printer", "Kestrel"}) || !slices.Contains(fields, Field{"revision", "1 (tower 1)"}) {
		t.Errorf("%v", fields)
	}
	done(t, b, func(tx *Tx) error {
		f := Fault{Revision: r.ID, Trial: tr.ID, What: "binds"}
		return joined(Add(tx, &f), Add(tx, &Reading{Trial: tr.ID, Kind: Bore, Measured: num(11.9)}))
	})
	groups, err := Belonging(ctx, b, "trial", tr.ID)
	if err != nil || len(groups) != 2 || groups[0].Kind != "reading" || groups[1].Kind != "fault" || !slices.Contains(groups[0].Rows[0], Field{"measured_mm", "11.9"}) {
		t.Errorf("%v, %v", groups, err)
	}
	if w := past[1]; w.Act != "added" || w.Before != nil {
		t.Errorf("%+v", w)
	}
	if w := past[0]; w.Act != "changed" || !slices.Contains(w.Before, Field{"minutes", "95"}) || !slices.Contains(w.Before, Field{"note", ""}) ||
		!slices.Contains(w.Before, Field{"settings", `{"bed":"60"}`}) || slices.ContainsFunc(w.Before, func(f Field) bool { return f.Name == "printer" || f.Name == "id" }) {
		t.Errorf("%+v", w)
	}
	if rows, err := List(ctx, b, "printers", 5); err != nil || len(rows) != 1 || rows[0][1].Value != "Kestrel" {
		t.Errorf("%v %v", rows, err)
	}
}

func TestAddKind(t *testing.T) {
	b := opened(t)
	_, _, tr := tower(t, b)
	add := func(word string, settings ...string) (id ID, err error) {
		_, err = b.Do(ctx, "add", func(tx *Tx) (err error) { id, err = AddKind(ctx, tx, word, settings); return err })
		return id, err
	}
	if id, err := add("fault", "revision=1", "what=binds", "parts=ring 3 + rod", "margin=-0.02"); err != nil || id != 1 {
		t.Error(id, err)
	}
	f, err := Get[Fault](ctx, b, 1)
	if err != nil || len(f.Parts) != 2 || *f.Margin != -0.02 {
		t.Errorf("%+v, %v", f, err)
	}
	if _, err := add("reading", "trial=1", "kind=bore", "measured_mm=11.9", "axis=z"); err != nil {
		t.Error(err)
	}
	if _, err := add("printer"); err == nil {
		t.Error("a printer without a name")
	}
	if _, err := b.Do(ctx, "drop", func(tx *Tx) error { return DropKind(tx, "trials", tr.ID) }); err != nil {
		t.Error(err)
	}
}
