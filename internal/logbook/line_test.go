package logbook

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func words() *Vocabulary {
	return &Vocabulary{
		Printers: []string{"Kestrel", "Heron"}, Nozzles: []string{"0.4"}, Spools: []string{"red", "sea green"}, Profiles: []string{"fine", "red"},
		Parts: []string{"frame", "rod", "ring 1", "ring 3", "ring 12"}, Steps: []string{"rod down"},
		Now: time.Date(2026, 7, 14, 9, 0, 0, 0, summer),
	}
}

func TestReadLine(t *testing.T) {
	noon := func(day int) time.Time { return time.Date(2026, 7, day, 12, 0, 0, 0, summer) }
	for text, want := range map[string]Line{
		"95 min, 41 g, binds at ring 3": {Minutes: num(95), Grams: num(41), Outcome: Binds, Place: "ring 3", PlaceParts: []string{"ring 3"}},
		"1h35, 41.5g":                   {Minutes: num(95), Grams: num(41.5)},
		"1:35, 41,5 g":                  {Minutes: num(95), Grams: num(41.5)},
		"1.5 h":                         {Minutes: num(90)},
		"2 hours 5 min":                 {Minutes: num(125)},
		"works":                         {Outcome: Works},
		"Binds between ring 12 and rod": {Outcome: Binds, Place: "ring 12 and rod", PlaceParts: []string{"ring 12", "rod"}},
		"leaks past rod down":           {Outcome: Leaks, Place: "rod down", PlaceParts: []string{"rod"}},
		"bidns at ring3":                {Outcome: Binds, Place: "ring 3", PlaceParts: []string{"ring 3"}, Read: []string{`"ring3" read as "ring 3"`, `"bidns" read as "binds"`}},
		"95min 41g works":               {Minutes: num(95), Grams: num(41), Outcome: Works, Read: []string{`"95min 41g works" read as "95min, 41g, works"`}},
		"1h35 41 g, works":              {Minutes: num(95), Grams: num(41), Outcome: Works, Read: []string{`"1h35 41 g" read as "1h35, 41 g"`}},
		"95 mim, works":                 {Minutes: num(95), Outcome: Works, Read: []string{`"mim" read as "min"`}},
		"on heron, spool red, Fine":     {Printer: "Heron", Spool: "red", Profile: "fine"},
		"sea green, nozzle 0.4":         {Spool: "sea green", Nozzle: "0.4"},
		"3 copies, scale 1.02, new":     {Copies: 3, Scale: num(1.02), New: true},
		"scale 102, revision 4":         {Scale: num(1.02), Revision: 4},
		"102 %":                         {Scale: num(1.02)},
		"only ring 3 + rod":             {Parts: []string{"ring 3", "rod"}},
		"only ring 3 and rod":           {Parts: []string{"ring 3", "rod"}},
		"0.15 tight, ring 3 0.2 slide":  {Readings: []Reading{{Kind: Gap, Gap: num(0.15), Felt: Tight}, {Kind: Gap, Feature: "ring 3", Gap: num(0.2), Felt: Slides}}},
		"gap .1 mm stuck":               {Readings: []Reading{{Kind: Gap, Gap: num(0.1), Felt: Stuck}}},
		"0.25 losse":                    {Readings: []Reading{{Kind: Gap, Gap: num(0.25), Felt: Loose}}, Read: []string{`"losse" read as "loose"`}},
		"bore 12 = 11.86 +-0.02":        {Readings: []Reading{{Kind: Bore, Nominal: num(12), Measured: num(11.86), Uncertainty: num(0.02)}}},
		"bore of Lid 12=11.86±0.02 mm":  {Readings: []Reading{{Kind: Bore, Feature: "of Lid", Nominal: num(12), Measured: num(11.86), Uncertainty: num(0.02)}}},
		"height 20 is 19.95 along z":    {Readings: []Reading{{Kind: Height, Nominal: num(20), Measured: num(19.95), Axis: "z"}}},
		"peg 8 8.07":                    {Readings: []Reading{{Kind: Peg, Nominal: num(8), Measured: num(8.07)}}},
		"solved AK 22 min, 1 hint":      {Solves: []Solve{{Who: "AK", Minutes: num(22), Hints: 1}}},
		"gave up after 40 min 2 hints":  {Solves: []Solve{{GaveUp: true, Minutes: num(40), Hints: 2}}},
		"bo solved in 1h10":             {Solves: []Solve{{Who: "BO", Minutes: num(70)}}},
		"photo a b.jpg, photo c.png":    {Photos: []string{"a b.jpg", "c.png"}},
		"yesterday, 30 min":             {At: time.Date(2026, 7, 13, 9, 0, 0, 0, summer), Minutes: num(30)},
		"2026-07-01, 30 min":            {At: noon(1), Minutes: num(30)},
		"on 2026-07-01 14:30, 30 min":   {At: time.Date(2026, 7, 1, 14, 30, 0, 0, summer), Minutes: num(30)},
		"3 days ago, 5 min":             {At: time.Date(2026, 7, 11, 9, 0, 0, 0, summer), Minutes: num(5)},
		"30 min, note: warped, a bit":   {Minutes: num(30), Note: "warped, a bit"},
		"stuck at rod":                  {Outcome: Binds, Place: "rod", PlaceParts: []string{"rod"}},
		"failed":                        {Outcome: Failed},
	} {
		got, err := ReadLine(text, words())
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if d := cmp.Diff(want, *got); d != "" {
			t.Errorf("%q:\n%s", text, d)
		}
	}
}

func TestReadLineRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                    "says nothing",
		" , ":                 "says nothing",
		"95 min, 1h":          "time twice",
		"40 g, 41 g":          "weight twice",
		"works, leaks":        "two outcomes",
		"on hern":             `did you mean "Heron"`,
		"spool blue":          `feint log add spool "blue"`,
		"red":                 "more than one thing",
		"only ring3":          `did you mean "ring 3"`,
		"only zebra":          "it has frame",
		"zebra":               "not understood",
		"95":                  "not understood",
		"bore 12 = 1.186":     "misread",
		"2 hints":             "say first who solved it",
		"solved Ingrid 3 min": "initials",
		"2026-02-30":          "is no day",
		"2027-01-01":          "lies ahead",
		"photo":               "not understood",
	} {
		if got, err := ReadLine(text, words()); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %+v, %v, want %q", text, got, err, want)
		}
	}
}

func FuzzReadLine(f *testing.F) {
	for _, s := range []string{"95 min, 41 g, binds at ring 3", "bore 12 = 11.86 +-0.02 z", "solved AK 22 min, 1 hint", "İ 0.15 tight", "only ring 3 + lid", "BORE İİ 12 = 11.9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l, err := ReadLine(s, words())
		if (l == nil) == (err == nil) {
			t.Errorf("%q: %v, %v", s, l, err)
		}
	})
}

// enter logs one line about the tower.
func enter(t *testing.T, b *Book, sha, text string) (*Entered, error) {
	t.Helper()
	v := words()
	l, err := ReadLine(text, v)
	if err != nil {
		t.Fatal(err)
	}
	var e *Entered
	_, err = b.Do(ctx, text, func(tx *Tx) (err error) {
		e, err = Enter(ctx, tx, &Printed{Design: Design{Name: "tower"}, SHA256: sha, Params: map[string]float64{"side gap": 0.25}}, l)
		return err
	})
	return e, err
}

func TestEnter(t *testing.T) {
	b := opened(t)
	done(t, b, func(tx *Tx) error {
		return joined(joined(Add(tx, &Printer{Name: "Kestrel"}), Add(tx, &Printer{Name: "Heron"})), Add(tx, &Spool{Name: "red"}))
	})
	one, err := enter(t, b, sum(1), "95 min, 41 g, on kestrel, spool red")
	if err != nil || !one.Fresh || !one.NewRev || one.Revision.Number != 1 || one.AsLast || one.Setup != [4]string{"Kestrel", "", "red", ""} {
		t.Fatalf("%+v, %v", one, err)
	}
	// the outcome comes later and by itself: to the print, and to the revision that was printed
	two, err := enter(t, b, sum(2), "binds at ring 3, 0.15 tight, note cooled overnight")
	if err != nil || two.Fresh || two.Trial.ID != one.Trial.ID || two.Revision.Number != 1 || two.Fault == 0 || two.Trial.Note != "cooled overnight" {
		t.Fatalf("%+v, %v", two, err)
	}
	f, err := Get[Fault](ctx, b, two.Fault)
	if err != nil || f.What != "binds at ring 3" || f.Trial != one.Trial.ID || len(f.Parts) != 1 {
		t.Errorf("%+v, %v", f, err)
	}
	if _, err := enter(t, b, sum(2), "works"); err == nil || !strings.Contains(err.Error(), "already") {
		t.Errorf("another outcome of the same print: %v", err)
	}
	three, err := enter(t, b, sum(2), "80 min, works, on heron")
	if err != nil || !three.Fresh || !three.NewRev || three.Revision.Number != 2 || three.Revision.Parent != one.Revision.ID || !three.AsLast || three.Setup != [4]string{"Heron", "", "red", ""} {
		t.Fatalf("%+v, %v", three, err)
	}
	four, err := enter(t, b, sum(3), "70 min, revision 1")
	if err != nil || four.Revision.Number != 1 {
		t.Errorf("%+v, %v", four, err)
	}
	if _, err := enter(t, b, sum(3), "70 min, revision 9"); err == nil {
		t.Error("a revision that is not there")
	}
	if revs, err := All[Revision](ctx, b, ""); len(revs) != 2 || err != nil {
		t.Errorf("%d revisions: %v", len(revs), err)
	}
	if _, err := enter(t, b, sum(3), "solved AK 20 min"); err != nil {
		t.Error(err)
	}
	if s, err := All[Solve](ctx, b, ""); len(s) != 1 || s[0].Trial != four.Trial.ID || err != nil {
		t.Errorf("%+v %v", s, err)
	}
}
