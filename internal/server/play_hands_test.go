package server

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"feint/internal/cache"
	"feint/internal/hands"
	"feint/internal/pipeline"
)

// hive is a bench with the beehive on its stage, not proved.
func hive(t testing.TB, b *bench) *staged {
	t.Helper()
	text, err := os.ReadFile("../../examples/beehive/beehive.star")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(b.dir, "beehive.star"), text, 0o640); err != nil {
		t.Fatal(err)
	}
	g := &run{id: "hive", asked: ProofAsked{Design: "beehive.star"}, tabs: map[string]bool{}}
	o, err := b.s.options(context.Background(), &g.asked)
	if err != nil {
		t.Fatal(err)
	}
	st, err := b.s.runs.build(context.Background(), g, b.s.path("beehive.star"), o)
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// TestPlayTheBeehive: the way that hands tells of the beehive is played over the wire,
// move by move: each is done as told, ends where it says, and takes one off the count
// of moves left, until the roof is off. What hands found by searching all situations
// is here done on one; they share the operators of the law but not the search.
func TestPlayTheBeehive(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	st := hive(t, b)
	proved, err := pipeline.Prove(context.Background(), b.s.path("beehive.star"), b.s.cfg.Options)
	if err != nil || proved.Hands == nil || proved.Hands.Way == nil {
		t.Fatal(err, proved)
	}
	way := proved.Hands.Way
	m := st.live.Mechanism
	var now Pulled
	b.ask("POST", "/api/play/begin", Spot{Stage: st.view.ID, Config: st.view.Start}, "Pulled", &now)
	spot := func(part int) Spot { return Spot{Stage: st.view.ID, Config: now.Config, Up: now.Up, Part: part} }
	for i := range way.Moves {
		k := &way.Moves[i]
		var o Onward
		if b.ask("POST", "/api/play/onward", spot(0), "Onward", &o); len(o.Way) != len(way.Moves)-i || o.Opens != "yes" {
			t.Fatalf("before move %d the page is told %+v, hands tells %d moves", i+1, o, len(way.Moves)-i)
		}
		var fell []string
		if k.Kind == hands.Turn {
			b.ask("POST", "/api/play/turn", Turned{spot(0), slices.Index(m.Ups(), k.Up)}, "Pulled", &now)
			fell = told(now.Effects)
		}
		for _, s := range k.Strokes {
			want := outside(st.live, replaced(m.Start, s.Travel, s.To))[s.Travel]
			b.ask("POST", "/api/play/pull", Pull{Stage: st.view.ID, Config: now.Config, Up: now.Up, Want: []Want{{s.Travel, want}}}, "Pulled", &now)
			if math.Abs(now.Config[s.Travel]-want) > 0.01 && len(k.Effects) == 0 {
				t.Errorf("move %d: %s stands at %g, wanted %g: %s", i+1, m.Travels[s.Travel].Name, now.Config[s.Travel], want, now.Words)
			}
			fell = append(fell, told(now.Effects)...)
		}
		effects := len(k.Effects)
		for _, s := range k.Strokes {
			effects += len(s.Effects)
		}
		if effects != len(fell) {
			t.Errorf("move %d: hands tells of %d effects, the page is told %q", i+1, effects, fell)
		}
		for tr, v := range outside(st.live, k.After) {
			if math.Abs(v-now.Config[tr]) > 1 { // four units of the proof's lattice, as pushed parts run ahead
				t.Errorf("after move %d travel %d stands at %g, hands tells %g", i+1, tr, now.Config[tr], v)
			}
		}
	}
	if !now.Goal {
		t.Errorf("the end %v is not the goal", now.Config)
	}
	var o Onward
	if b.ask("POST", "/api/play/onward", spot(0), "Onward", &o); !o.There {
		t.Errorf("%+v", o)
	}
}

// told is what an answer says of parts that the hand did not move.
func told(es []Effect) []string {
	var out []string
	for _, e := range es {
		out = append(out, e.Words)
	}
	return out
}

func replaced(q []float64, t int, v float64) []float64 {
	out := slices.Clone(q)
	out[t] = v
	return out
}

// TestBeehiveByHand: what the drawing says by itself. The smoker is drawn with its face
// 4 mm from the sting's arm (5 to 9) and is pushed in 11: the sting goes about 7 on, up
// to four units ahead. The queen's notch (y -17.2 to -12.8) meets the third bee (-16.5 to
// -13.5) after 0.7, a bee that can only rise. The plank meets the honey after 0.5.
func TestBeehiveByHand(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	st := hive(t, b)
	at := func(part, travel string) int {
		for i := range st.live.Mechanism.Travels {
			if k := &st.live.Mechanism.Travels[i]; st.live.Mechanism.Parts[k.Part].Name == part && k.Name == travel {
				return i
			}
		}
		t.Fatal(part, travel)
		return -1
	}
	var p Pulled
	pull := func(travel int, to float64, hold bool) {
		p = Pulled{}
		if code := b.ask("POST", "/api/play/pull", Pull{Stage: st.view.ID, Config: st.view.Start, Want: []Want{{travel, to}}, Hold: hold}, "Pulled", &p); code != 200 {
			t.Fatalf("%d", code)
		}
	}
	pull(at("smoker", "push"), 11, false)
	if v := p.Config[at("sting", "bend")]; v < 7 || v > 7.5 || p.Config[at("smoker", "push")] != 11 || p.Words != "" {
		t.Errorf("the sting stands at %g: %+v", v, p)
	}
	if len(p.Effects) != 1 || !strings.HasPrefix(p.Effects[0].Words, "sting is pushed: slide to the back") || p.Effects[0].How != "is pushed" || st.view.Parts[p.Effects[0].Part].Name != "sting" || len(p.Frames) < 2 {
		t.Errorf("%+v in %d frames", p.Effects, len(p.Frames))
	}
	pull(at("queen", "push"), 12, true)
	if v := p.Config[at("queen", "push")]; v < 0.5 || v > 0.7 || !strings.Contains(p.Words, "third bee") || p.Halts[0].Cause != "part" {
		t.Errorf("the queen stands at %g: %q", v, p.Words)
	}
	pull(at("plank", "pull"), 8, true)
	if v := p.Config[at("plank", "pull")]; v < 0.3 || v > 0.5 || !strings.Contains(p.Words, "honey") {
		t.Errorf("the plank stands at %g: %q", v, p.Words)
	}
	var no Trouble
	if code := b.ask("POST", "/api/play/pull", Pull{Stage: st.view.ID, Config: st.view.Start, Want: []Want{{at("first bee", "fly"), 3}}}, "", &no); code != 400 || !strings.Contains(no.Message, "gravity") {
		t.Errorf("a bee was moved by hand: %d %+v", code, no)
	}
	var r Rooms
	b.ask("POST", "/api/play/room", Spot{Stage: st.view.ID, Config: st.view.Start, Part: st.live.Mechanism.Travels[at("first bee", "fly")].Part}, "Rooms", &r)
	if len(r.Rooms) != 0 {
		t.Errorf("the hand has no room there: %+v", r)
	}
	for what, body := range map[string]any{
		"turn over in one": Turned{Spot{Stage: st.view.ID, Config: st.view.Start}, 1},
		"no such attitude": Turned{Spot{Stage: st.view.ID, Config: st.view.Start}, 17},
		"from nowhere":     Turned{Spot{Stage: st.view.ID, Config: st.view.Start, Up: -1}, 2},
		"grown":            Turned{Spot{Stage: st.view.ID, Config: st.view.Start, Growth: 0.05}, 2},
		"tools":            Turned{Spot{Stage: st.view.ID, Config: st.view.Start, Tools: []int{1}}, 2},
	} {
		if code := b.ask("POST", "/api/play/turn", body, "", nil); code != 400 {
			t.Errorf("%s: %d", what, code)
		}
	}
	if code := b.ask("POST", "/api/play/take", Taken{Spot: Spot{Stage: st.view.ID, Config: st.view.Start}}, "", nil); code != 400 {
		t.Errorf("a tool that is not there: %d", code)
	}
}

// BenchmarkDrag: one answer to the pointer, without the wire. A frame at 30 frames a
// second is 33 ms.
func BenchmarkDrag(b *testing.B) {
	ctx := context.Background()
	store, err := cache.Open(b.TempDir(), 0)
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		design, part string
		far          float64 // mm or radians
	}{{"beehive", "queen", 12}, {"beehive", "smoker", 11}, {"lighthouse", "watch", 1}} {
		path, o := "../../examples/"+c.design+"/"+c.design+".star", pipeline.Options{Cache: store}
		if _, err := pipeline.Prove(ctx, path, o); err != nil {
			b.Fatal(err)
		}
		l, err := pipeline.Build(ctx, path, o)
		if err != nil {
			b.Fatal(err)
		}
		if err := l.Learn(ctx); err != nil {
			b.Fatal(err)
		}
		view, _ := newStage("drag", c.design+".star", l)
		st := &staged{view: view, live: l}
		part := slices.IndexFunc(view.Parts, func(p Part) bool { return p.Name == c.part })
		if part < 0 {
			b.Fatalf("%s has no %s", c.design, c.part)
		}
		t := view.Parts[part].Travels[0]
		if _, err := st.pulled(ctx, &Pull{}, l.Mechanism.Start, []pipeline.Want{{Travel: t, Value: 1}}); err != nil {
			b.Fatal(err) // laid out once, before it counts
		}
		b.Run(c.design+" "+c.part, func(b *testing.B) {
			for i := range b.N {
				if _, err := st.pulled(ctx, &Pull{}, l.Mechanism.Start, []pipeline.Want{{Travel: t, Value: c.far * float64(i%30+1) / 30}}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
