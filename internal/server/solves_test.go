package server

import (
	"context"
	"testing"

	"feint/internal/logbook"
)

// TestSolveKept: a session of play is kept as a solve of the revision it was played on,
// set as it was, without a print being made up for it; it is taken back; what nobody
// can have played is refused.
func TestSolveKept(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	min := func(v float64) *float64 { return &v }
	give := func(a SolveGiven, l *Logged) int {
		if a.Set == nil {
			a.Set = []ParamValue{}
		}
		if l == nil {
			return b.ask("POST", "/api/workshop/ferry.star/solves", a, "", nil)
		}
		return b.ask("POST", "/api/workshop/ferry.star/solves", a, "Logged", l)
	}
	good := SolveGiven{Who: "ak", Minutes: min(3.4), Hints: 1, Moves: 9}
	if code := give(good, nil); code != 404 {
		t.Errorf("without a logbook: %d", code)
	}
	b.ask("POST", "/api/workshop", None{}, "None", nil)
	var l, second Logged
	if code := give(good, &l); code != 200 || l.Deed == 0 || l.Trial != 0 {
		t.Fatal(code, l)
	}
	gave := SolveGiven{GaveUp: true, Minutes: min(40), Moves: 2, Shown: true, Set: []ParamValue{{"bollard at", 13}}}
	if code := give(gave, &second); code != 200 {
		t.Fatal(code)
	}
	w := b.book("")
	if len(w.Solves) != 2 || len(w.Trials) != 0 || len(w.Revisions) != 2 {
		t.Fatalf("%+v", w)
	}
	book, err := logbook.Open(context.Background(), b.dir, logbook.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	ks, err := logbook.All[logbook.Solve](context.Background(), book, "1 ORDER BY id")
	if err != nil || len(ks) != 2 {
		t.Fatal(err, ks)
	}
	if k := ks[0]; k.Who != "AK" || *k.Minutes != 3.4 || k.GaveUp || k.Hints != 1 || k.Note != "on the bench, 9 moves" || k.At.IsZero() || k.Trial != 0 {
		t.Errorf("%+v", k)
	}
	if k := ks[1]; k.Who != "" || *k.Minutes != 40 || !k.GaveUp || k.Hints != 0 || k.Note != "on the bench, 2 moves, the whole way was shown" || k.Revision == ks[0].Revision {
		t.Errorf("%+v", k)
	}
	if err := book.Close(); err != nil {
		t.Error(err)
	}
	b.ask("POST", "/api/undo", DeedNamed{second.Deed}, "None", nil)
	if w := b.book(""); len(w.Solves) != 1 || w.Solves[0].Words != "AK solved after 3.4 min, 1 hint; on the bench, 9 moves" {
		t.Errorf("taken back: %+v", w.Solves)
	}
	for what, a := range map[string]SolveGiven{
		"a whole name":     {Who: "Ingrid"},
		"before it began":  {Minutes: min(-1)},
		"too long":         {Minutes: min(1e9)},
		"hints given back": {Hints: -1},
		"moves given back": {Moves: -3},
		"too many moves":   {Moves: 1 << 40},
		"no such param":    {Set: []ParamValue{{"mast", 3}}},
	} {
		if code := give(a, nil); code != 400 {
			t.Errorf("%s: %d", what, code)
		}
	}
	if w := b.book(""); len(w.Solves) != 1 {
		t.Errorf("something refused was kept: %+v", w.Solves)
	}
}
