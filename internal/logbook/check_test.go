package logbook

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func count(n int) *int { return &n }

// The bounds are worked out by hand from the brackets.
func TestJudge(t *testing.T) {
	p := Proof{
		Verdict: "works", Moves: count(4), MovesLeast: count(3),
		BindLo: num(0.10), BindHi: num(0.12), LeakLo: num(-0.08), LeakHi: num(-0.06),
		Parts: []string{"rod", "ring 3", "lid"}, Steps: []string{"rod down"},
		Way: []WayMove{
			{Part: "rod", Against: "ring 3", Clearance: num(0.20)},
			{Part: "lid", Against: "rod", Clearance: num(0.25)},
		},
		Found: []Found{
			{Rule: "facets", Parts: []string{"rod", "ring 3"}, Margin: num(-0.02), Message: "flats"},
			{Rule: "idle-step", Step: "rod down", Message: "not needed"},
		},
	}
	for name, k := range map[string]struct {
		c    Check
		want Answer
	}{
		"bind at the lower end":      {Check{Rule: "bind", AtLeast: num(0.10)}, Holds},
		"bind within":                {Check{Rule: "bind", AtLeast: num(0.11)}, Untold},
		"bind beyond":                {Check{Rule: "bind", AtLeast: num(0.121)}, Returns},
		"leak at the upper end":      {Check{Rule: "leak", AtMost: num(-0.06)}, Holds},
		"leak within":                {Check{Rule: "leak", AtMost: num(-0.07)}, Untold},
		"leak beyond":                {Check{Rule: "leak", AtMost: num(-0.09)}, Returns},
		"no leak with play":          {Check{Rule: "leak-with-play", AtMost: num(-0.5)}, Holds},
		"window surely":              {Check{Rule: "window", AtLeast: num(0.16)}, Holds},
		"window perhaps":             {Check{Rule: "window", AtLeast: num(0.18)}, Untold},
		"window never":               {Check{Rule: "window", AtLeast: num(0.21)}, Returns},
		"clearance of any":           {Check{Rule: "clearance", AtLeast: num(0.2)}, Holds},
		"clearance of rod and ring":  {Check{Rule: "clearance", AtLeast: num(0.21), Parts: []string{"ring 3", "rod"}}, Returns},
		"clearance of rod and lid":   {Check{Rule: "clearance", AtLeast: num(0.22), Parts: []string{"lid", "rod"}}, Untold},
		"lid less than it has":       {Check{Rule: "clearance", AtLeast: num(0.26), Parts: []string{"lid", "rod"}}, Returns},
		"moves at most":              {Check{Rule: "moves", AtMost: num(4)}, Holds},
		"moves between":              {Check{Rule: "moves", AtLeast: num(4)}, Untold},
		"moves too few":              {Check{Rule: "moves", AtLeast: num(5)}, Returns},
		"both sides":                 {Check{Rule: "bind", AtLeast: num(0.1), AtMost: num(0.11)}, Untold},
		"a rule that finds":          {Check{Rule: "facets"}, Returns},
		"a rule, small margin":       {Check{Rule: "facets", AtLeast: num(-0.03)}, Holds},
		"a rule elsewhere":           {Check{Rule: "facets", Parts: []string{"lid"}}, Holds},
		"a rule of a step":           {Check{Rule: "idle-step", Step: "rod down"}, Returns},
		"a rule that finds nothing":  {Check{Rule: "no-reset"}, Holds},
		"a margin that is not told":  {Check{Rule: "no-reset", AtLeast: num(0.1)}, Untold},
		"a part that is gone":        {Check{Rule: "facets", Parts: []string{"ring3"}}, Untold},
		"a step that is gone":        {Check{Rule: "idle-step", Step: "rod up"}, Untold},
		"no part near, another rule": {Check{Rule: "bind", AtLeast: num(0), Parts: []string{"x"}}, Untold},
	} {
		if got := Judge(&k.c, &p); got.Answer != k.want || got.Why == "" {
			t.Errorf("%s: %s (%s), want %s", name, got.Answer, got.Why, k.want)
		}
	}
	if w := Judge(&Check{Rule: "facets", Parts: []string{"ring3"}}, &p).Why; !strings.Contains(w, `renamed to "ring 3"`) {
		t.Error(w)
	}
	none := Proof{Verdict: "undecided"}
	for _, rule := range append(Quantities(), "facets") {
		c := Check{Rule: rule, AtMost: num(0), AtLeast: num(0)}
		if got := Judge(&c, &none); got.Answer != Untold {
			t.Errorf("%s of a proof that tells nothing: %s", rule, got.Answer)
		}
	}
	above := Proof{Moves: count(1), BindLo: num(0.3)}
	if got := Judge(&Check{Rule: "bind", AtLeast: num(0.2)}, &above); got.Answer != Holds {
		t.Errorf("a bind above what was searched: %+v", got)
	}
}

func TestCompare(t *testing.T) {
	a := &SumOf{
		Revision: Revision{Params: map[string]float64{"side gap": 0.25, "rings": 5, "old": 1}}, Trials: 2, Grams: 82, Minutes: 180, GramsEach: num(41), MinutesEach: num(90),
		Outcomes: map[Outcome]int{Binds: 2}, Faults: []Fault{{What: "binds at ring 3"}},
		Proof: &Proof{
			Verdict: "stuck", Moves: count(2), BindLo: num(0.04), BindHi: num(0.06), LeakLo: num(-0.11), LeakHi: num(-0.09),
			Way: []WayMove{{Words: "rod up"}, {Words: "lid off"}},
		},
		Yield: &Yield{Prints: 200, Work: 100},
	}
	b := &SumOf{
		Revision: Revision{Params: map[string]float64{"side gap": 0.3, "rings": 5, "new": 2}}, Trials: 1, Grams: 40, Minutes: 75, GramsEach: num(40), MinutesEach: num(75),
		Outcomes: map[Outcome]int{Works: 1},
		Proof: &Proof{
			Verdict: "works", Moves: count(3), BindLo: num(0.09), BindHi: num(0.11), LeakLo: num(-0.11), LeakHi: num(-0.09),
			Way: []WayMove{{Words: "rod up"}, {Words: "ring a turn"}, {Words: "lid off"}},
		},
		Yield: &Yield{Prints: 200, Work: 192},
	}
	want := []Delta{
		{"params", "new", "", "2", ""},
		{"params", "old", "1", "", ""},
		{"params", "side gap", "0.25", "0.3", "+0.05"},
		{"fit", "verdict", "stuck", "works", ""},
		{"fit", "bind growth", "0.050 mm", "0.100 mm", "+0.050 mm"},
		{"fit", "window", "0.150 mm", "0.200 mm", "+0.050 mm"},
		{"moves", "moves", "2", "3", "+1"},
		{"way", "move 2", "", "ring a turn", ""},
		{"yield", "copies that work", "50.0 %", "96.0 %", "+46.0 %"},
		{"prints", "prints", "2", "1", "-1"},
		{"prints", "outcomes", "2 binds", "1 works", ""},
		{"prints", "grams a copy", "41.0 g", "40.0 g", "-1.0 g"},
		{"prints", "time a copy", "1.50 h", "1.25 h", "-0.25 h"},
		{"prints", "grams in all", "82.0 g", "40.0 g", "-42.0 g"},
		{"prints", "time in all", "3.00 h", "1.25 h", "-1.75 h"},
		{"faults", "seen", "binds at ring 3", "", ""},
	}
	if d := cmp.Diff(want, Compare(a, b)); d != "" {
		t.Error(d)
	}
	if d := Compare(a, a); len(d) > 0 {
		t.Errorf("a revision differs from itself: %+v", d)
	}
}

func TestTree(t *testing.T) {
	rev := func(id, parent ID) SumOf { return SumOf{Revision: Revision{ID: id, Number: int(id), Parent: parent}} }
	got := ""
	for _, b := range Tree([]SumOf{rev(1, 0), rev(2, 1), rev(3, 1), rev(4, 2), rev(5, 99), rev(6, 7), rev(7, 6)}) {
		got += strings.Repeat(" ", b.Depth) + string(rune('0'+b.Number)) + "\n"
	}
	if d := cmp.Diff("1\n 2\n  4\n 3\n5\n6\n 7\n", got); d != "" {
		t.Error(d)
	}
}

func TestNearest(t *testing.T) {
	words := []string{"binds", "leaks", "works", "ring 3", "ring 4"}
	for in, want := range map[string]string{"bidns": "binds", "leeks": "leaks", "Wroks": "works", "ring3": "ring 3", "ring 5": "", "zebra": "", "": ""} {
		if got := Nearest(in, words); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// What others take: readings of one setup, costs of whole boxes, revisions.
func TestQueries(t *testing.T) {
	b := opened(t)
	d, r, tr := tower(t, b)
	done(t, b, func(tx *Tx) error {
		p := Printer{Name: "Heron"}
		if err := Add(tx, &p); err != nil {
			return err
		}
		other := Trial{Revision: r.ID, Printer: p.ID, Minutes: num(30), Copies: 2, Scale: 1, Outcome: Works}
		if err := Add(tx, &other); err != nil {
			return err
		}
		part := Trial{Revision: r.ID, Printer: p.ID, Minutes: num(10)}
		if err := Add(tx, &part); err != nil {
			return err
		}
		if err := joined(Add(tx, &TrialPart{Trial: part.ID, Part: "lid"}), Add(tx, &Proof{SHA256: sum(1), Verdict: "works", Grams: num(39), Minutes: num(88)})); err != nil {
			return err
		}
		return joined(Add(tx, &Reading{Trial: tr.ID, Kind: Bore, Nominal: num(12), Measured: num(11.86)}),
			Add(tx, &Reading{Trial: other.ID, Kind: Gap, Gap: num(0.1), Felt: Tight}))
	})
	all, err := ReadingsWith(ctx, b, Setup{})
	if err != nil || len(all) != 2 {
		t.Errorf("%+v, %v", all, err)
	}
	one, err := ReadingsWith(ctx, b, Setup{Printer: 2})
	if err != nil || len(one) != 1 || one[0].Felt != Tight || one[0].Setup.Printer != 2 || one[0].Scale != 1 {
		t.Errorf("%+v, %v", one, err)
	}
	costs, err := CostsWith(ctx, b, Setup{})
	if err != nil || len(costs) != 2 || *costs[0].ToldMin != 88 || *costs[0].Grams != 41 || costs[1].Copies != 2 {
		t.Errorf("%+v, %v", costs, err)
	}
	revs, err := Revisions(ctx, b, d.ID)
	if err != nil || len(revs) != 1 {
		t.Fatal(revs, err)
	}
	// (95 + 30) minutes for 1 + 2 copies; the trial of a part alone is left out
	if s := revs[0]; s.Trials != 3 || *s.MinutesEach != 125.0/3 || s.Minutes != 135 || s.Proof == nil || s.Outcomes[Binds] != 1 {
		t.Errorf("%+v", s)
	}
	if _, err := Named[Printer](ctx, b, "kestral"); err == nil || !strings.Contains(err.Error(), `did you mean "Kestrel"`) {
		t.Error(err)
	}
	if id, err := Named[Printer](ctx, b, "KESTREL"); id != 1 || err != nil {
		t.Error(id, err)
	}
}

// A revision is kept once, a proof that says nothing new writes nothing.
func TestKeep(t *testing.T) {
	b := opened(t)
	d, _, _ := tower(t, b)
	var r Revision
	deed := done(t, b, func(tx *Tx) error {
		r = Revision{Design: d.ID, SHA256: sum(2), Question: "a wider gap?"}
		fresh, err := KeepRevision(ctx, tx, &r)
		if !fresh || r.Number != 2 || r.Parent != 1 {
			t.Errorf("%v %+v", fresh, r)
		}
		again := Revision{Design: d.ID, SHA256: sum(2), Question: "other"}
		if fresh, err := KeepRevision(ctx, tx, &again); fresh || err != nil || again.ID != r.ID || again.Question != "a wider gap?" {
			t.Errorf("%v %+v %v", fresh, again, err)
		}
		return joined(err, KeepProof(ctx, tx, &Proof{SHA256: sum(2), Verdict: "works", Moves: count(3), Grams: num(40)}))
	})
	if deed == 0 {
		t.Fatal("nothing was done")
	}
	keep := func(p Proof) ID {
		id, err := b.Do(ctx, "again", func(tx *Tx) error { return KeepProof(ctx, tx, &p) })
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	if id := keep(Proof{SHA256: sum(2), Verdict: "works", Moves: count(3)}); id != 0 {
		t.Error("the same proof was written again")
	}
	if id := keep(Proof{SHA256: sum(2), Verdict: "works", Moves: count(4)}); id == 0 {
		t.Error("another proof was not written")
	}
	if p, ok, err := ProofOf(ctx, b, sum(2)); !ok || err != nil || *p.Moves != 4 || *p.Grams != 40 {
		t.Errorf("%+v %v", p, err)
	}
}
