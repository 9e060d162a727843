package server

import (
	"bytes"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"feint/internal/cache"
	"feint/internal/export"
	"feint/internal/pipeline"
)

// TestDescriptionIsCurrent: what is generated and kept must be what the code says.
func TestDescriptionIsCurrent(t *testing.T) {
	want, err := OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string][]byte{"../../docs/openapi.json": want, "../../web/src/wire.ts": TypeScript()} {
		got, err := os.ReadFile(name)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not current; run go generate ./internal/server (%v)", name, err)
		}
	}
}

// TestEveryRouteIsAsked: the interface is held to its description route by route in
// the tests below; a new route must be added here and there.
func TestProveAndPlay(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	var be Bench
	b.ask("GET", "/api/bench", nil, "Bench", &be)
	if be.Design != "ferry.star" || len(be.Designs) != 1 {
		t.Fatalf("%+v", be)
	}
	ch := b.listen("one")
	until(t, ch, "hello")
	var st Started
	if code := b.ask("POST", "/api/proofs", asked("one"), "Started", &st); code != 200 {
		t.Fatal(code)
	}
	stage := until(t, ch, "stage").Stage
	if len(stage.Parts) != 3 || len(stage.Travels) != 2 || stage.Parts[1].Name != "gate" {
		t.Fatalf("%+v", stage)
	}
	if g := 8 * 8 * 8 / 1000.0; stage.Parts[1].Grams <= g || stage.Parts[1].Grams > 1.5*g { // 0.512 cm3 of a plastic between 1 and 1.5 g/cm3
		t.Errorf("the gate's mass is %g g", stage.Parts[1].Grams)
	}
	got := until(t, ch, "proved")
	if d := got.Result.Document; d.Verdict != "works" || *d.Moves != 2 || got.Proof != st.Proof {
		t.Fatalf("%s: %s", d.Verdict, d.Sentence)
	}
	until(t, ch, "pictures")
	b.results(stage, got.Result)
	b.play(stage)
}

// results reads what belongs to a finished proof.
func (b *bench) results(stage *Stage, p *Proof) {
	t := b.t
	var views struct{ Frames []struct{ SVG string } }
	b.ask("GET", "/api/proofs/"+p.ID+"/pictures", nil, "Views", &views)
	if len(views.Frames) != 2 || !strings.HasPrefix(views.Frames[0].SVG, "<svg") {
		t.Errorf("%d frames", len(views.Frames))
	}
	for path, begin := range map[string]string{
		"/api/proofs/" + p.ID + "/report":    "<!doctype html",
		"/api/meshes/" + stage.Parts[1].Mesh: "\x08\x00\x00\x00\x0c\x00\x00\x00", // a block: 8 corners, 12 triangles
		"/api/stages/" + stage.ID + "/files": "PK\x03\x04",
	} {
		res, err := b.client.Get(b.s.Origin() + path)
		if err != nil {
			t.Fatal(err)
		}
		raw, _ := io.ReadAll(res.Body)
		res.Body.Close()
		if res.StatusCode != 200 || !strings.HasPrefix(strings.ToLower(string(raw)), strings.ToLower(begin)) {
			t.Errorf("%s: %d, %.40q", path, res.StatusCode, raw)
		}
	}
	var c Compared
	b.ask("POST", "/api/compare", Two{p.ID, p.ID, ""}, "Compared", &c)
	if len(c.Rows) < 5 || c.Rows[1].Before != "2" || c.Rows[1].Change != "" {
		t.Errorf("%+v", c)
	}
}

// play asks how far parts go; closed forms of blocks that face each other.
func (b *bench) play(stage *Stage) {
	t := b.t
	var r Rooms
	b.ask("POST", "/api/play/room", Spot{Stage: stage.ID, Config: stage.Start, Part: 1}, "Rooms", &r)
	if hi := r.Rooms[0].Hi; hi.At < 11.99 || hi.At > 12.001 || hi.Cause != "part" || hi.Words != "stopped by quay" {
		t.Errorf("%+v", hi)
	}
	var p Pulled
	b.ask("POST", "/api/play/pull", Pull{Stage: stage.ID, Config: stage.Start, Want: []Want{{1, -28}}}, "Pulled", &p)
	if v := p.Config[1]; v < -7 || v > -6.9 || p.Words != "stopped by gate" || p.Goal {
		t.Errorf("%+v", p)
	}
	b.ask("POST", "/api/play/pull", Pull{Stage: stage.ID, Config: []float64{8, 0}, Want: []Want{{1, -28}}}, "Pulled", &p)
	if p.Config[1] != -28 || !p.Goal || p.Words != "" {
		t.Errorf("%+v", p)
	}
	var n Near
	b.ask("POST", "/api/play/near", Spot{Stage: stage.ID, Config: stage.Start, Part: 1}, "Near", &n)
	if n.Clearance < 0.999 || n.Clearance > 1.001 || n.Other != 0 {
		t.Errorf("%+v", n)
	}
	var o Onward
	b.ask("POST", "/api/play/onward", Spot{Stage: stage.ID, Config: stage.Start, Part: 0}, "Onward", &o)
	if len(o.Way) != 2 || o.There || len(o.Way[1].Frames) == 0 {
		t.Errorf("%+v", o)
	}
	b.ask("POST", "/api/play/onward", Spot{Stage: stage.ID, Config: []float64{8, -28}, Part: 0}, "Onward", &o)
	if !o.There {
		t.Errorf("%+v", o)
	}
	for _, bad := range []any{
		Spot{Stage: stage.ID, Config: []float64{1}, Part: 0},
		Spot{Stage: stage.ID, Config: []float64{99, 0}, Part: 1},
		Spot{Stage: stage.ID, Config: stage.Start, Part: 9},
		Spot{Stage: stage.ID, Config: stage.Start, Part: 1, Growth: 7},
		Spot{Stage: "elsewhere", Config: stage.Start},
	} {
		if code := b.ask("POST", "/api/play/room", bad, "", nil); code != 400 && code != 404 {
			t.Errorf("%+v: %d", bad, code)
		}
	}
	for _, want := range [][]Want{nil, {{0, 1}, {1, 1}}, {{7, 1}}, {{0, 1e9}}} {
		if want == nil {
			want = []Want{}
		}
		if code := b.ask("POST", "/api/play/pull", Pull{Stage: stage.ID, Config: stage.Start, Want: want}, "", nil); code != 400 {
			t.Errorf("%+v: %d", want, code)
		}
	}
}

// TestNewestWins: a later question of a tab ends the earlier one; another tab's runs on.
func TestNewestWins(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	one, two := b.listen("one"), b.listen("two")
	var first, second, other Started
	b.ask("POST", "/api/proofs", asked("one"), "Started", &first)
	b.ask("POST", "/api/proofs", asked("two"), "Started", &other)
	b.ask("POST", "/api/proofs", asked("one", ParamValue{"bollard at", 13}), "Started", &second)
	if first != other || second == first {
		t.Errorf("%v %v %v", first, second, other)
	}
	if e := until(t, one, "proved"); e.Proof != second.Proof || e.Result.Document.Verdict != "stuck" {
		// the gate ends at 8 and the bollard stands at 13: it goes 5, and the boat needs 6
		t.Errorf("tab one has %s", e.Result.Document.Sentence)
	}
	if e := until(t, two, "proved"); e.Proof != other.Proof || e.Result.Document.Verdict != "works" {
		t.Errorf("tab two has %s", e.Result.Document.Sentence)
	}
	b.s.runs.mu.Lock()
	defer b.s.runs.mu.Unlock()
}

func TestStop(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	ch := b.listen("one")
	var st Started
	b.ask("POST", "/api/proofs", asked("one"), "Started", &st)
	until(t, ch, "stage")
	b.ask("DELETE", "/api/proofs/"+st.Proof+"?tab=one", nil, "None", nil)
	if e := until(t, ch, "stopped", "proved"); e.Kind != "stopped" {
		t.Error("it went on")
	}
}

// TestRestart: a page that was open finds the restarted bench at its old address, is
// known there, and the last result is there at once.
func TestRestart(t *testing.T) {
	state, store := t.TempDir(), sharedCache(t)
	b := openBench(t, Config{State: state, Options: optionsWith(store)})
	b.enter()
	ch := b.listen("one")
	b.ask("POST", "/api/proofs", asked("one"), "Started", nil)
	until(t, ch, "pictures")
	jar, origin := b.client.Jar, b.s.Origin()
	b.close()

	c := openBench(t, Config{Folder: b.dir, State: state, Options: optionsWith(store)})
	c.client.Jar = jar
	if c.s.Origin() != origin || c.s.secret == b.s.secret {
		t.Fatalf("%s and then %s", origin, c.s.Origin())
	}
	if code := c.ask("GET", "/api/bench", nil, "Bench", nil); code != 200 {
		t.Fatalf("not known any more: %d", code)
	}
	ch = c.listen("one")
	c.ask("POST", "/api/proofs", asked("one"), "Started", nil)
	if e := until(t, ch, "proved"); !e.Result.Kept {
		t.Error("proved anew")
	}
	raw, err := os.ReadDir(state)
	if err != nil || len(raw) != 1 {
		t.Fatal(raw, err)
	}
	text, _ := os.ReadFile(filepath.Join(state, raw[0].Name()))
	info, _ := raw[0].Info()
	u, _ := http.NewRequest("GET", origin, nil)
	for _, k := range jar.Cookies(u.URL) {
		if bytes.Contains(text, []byte(k.Value)) {
			t.Error("the session itself is kept on the disk")
		}
	}
	if info.Mode().Perm() != 0o600 {
		t.Errorf("the state is open to others: %v", info.Mode())
	}
}

func optionsWith(store *cache.Store) pipeline.Options { return pipeline.Options{Cache: store} }

// TestLoopbackOnly: the port is open on no other address of this machine.
func TestLoopbackOnly(t *testing.T) {
	b := openBench(t, Config{})
	as, err := net.InterfaceAddrs()
	if err != nil {
		t.Skip(err)
	}
	for _, a := range as {
		ip, ok := a.(*net.IPNet)
		if !ok || ip.IP.IsLoopback() {
			continue
		}
		c, err := net.DialTimeout("tcp", net.JoinHostPort(ip.IP.String(), strings.Split(b.s.Origin(), ":")[2]), time.Second)
		if err == nil {
			c.Close()
			t.Errorf("open on %v", ip)
		}
	}
}

// TestJoinLate: a tab that joins a proof whose result was told already, as a page does
// that is loaded anew while the pictures are drawn, is told it too.
func TestJoinLate(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	first, late := b.listen("first"), b.listen("late")
	b.ask("POST", "/api/proofs", asked("first"), "Started", new(Started))
	was := until(t, first, "proved")
	g := &run{id: was.Proof, asked: asked("first"), cancel: func() {}, tabs: map[string]bool{}} // still drawing
	b.s.runs.tell(g, Event{Kind: "proved", Result: was.Result})
	b.s.runs.mu.Lock()
	b.s.runs.going[g.id] = g
	b.s.runs.mu.Unlock()
	b.ask("POST", "/api/proofs", asked("late"), "Started", new(Started))
	if e := until(t, late, "proved"); e.Proof != g.id || e.Result.ID != g.id {
		t.Errorf("told %q, not %q", e.Result.ID, g.id)
	}
}

// TestComparedPartly: of a proof whose findings are still being found no count is compared.
func TestComparedPartly(t *testing.T) {
	whole, part := &Proof{}, &Proof{Partial: true}
	whole.Document.Findings = make([]export.FindingInfo, 34)
	for _, k := range []struct {
		a, b *Proof
		want ComparedRow
	}{
		{whole, whole, ComparedRow{"findings", "34", "34", ""}},
		{whole, part, ComparedRow{"findings", "34", "being worked out", "not known yet"}},
		{part, whole, ComparedRow{"findings", "not worked out", "34", "not known yet"}},
	} {
		rows := compared(k.a, k.b).Rows
		if got := rows[len(rows)-1]; got != k.want {
			t.Errorf("%+v, want %+v", got, k.want)
		}
	}
	// left, or seen, when only what was asked was told: verdict and moves are compared, limits are not
	seven, eight, bind := 7, 8, 0.1
	asked := &Proof{Partial: true, Asked: true}
	asked.Document.Moves, whole.Document.Moves, whole.Document.Fit.Bind = &seven, &eight, &bind
	for _, k := range []struct {
		a, b              *Proof
		moves, bind, none string
	}{{asked, whole, "+1", "not worked out", "0.100 mm"}, {whole, asked, "-1", "0.100 mm", "being worked out"}} {
		rows := compared(k.a, k.b).Rows
		if got, want := rows[1].Change, k.moves; got != want {
			t.Errorf("moves %q, want %q", got, want)
		}
		if got, want := rows[5], (ComparedRow{"binds above", k.bind, k.none, "not known yet"}); got != want {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
}
