package server

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/export"
)

// printers is an invented file of settings: one printer that prints to size, give or
// take a hundredth, and one so fat that nothing moves.
const printersFile = `[[setting]]
name = "true"
[setting.growth.in_plane]
mean = 0.0
prints = 0.01
features = 0.0
[[setting]]
name = "fat"
[setting.growth.in_plane]
mean = 0.9
prints = 0.01
features = 0.0
`

// TestPrintersAppear: a printer written into the workshop while the page is open is
// told of and stands on the fit window.
func TestPrintersAppear(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	ch := b.listen("one")
	until(t, ch, "hello")
	b.ask("POST", "/api/proofs", asked("one"), "Started", nil)
	p := until(t, ch, "proved").Result
	until(t, ch, "pictures")
	if err := os.WriteFile(filepath.Join(b.dir, "printers.toml"), []byte(printersFile), 0o600); err != nil {
		t.Fatal(err)
	}
	until(t, ch, "printers")
	var be Bench
	b.ask("GET", "/api/bench", nil, "Bench", &be)
	if strings.Join(be.Printers, " ") != "true fat" {
		t.Errorf("printers %q", be.Printers)
	}
	var v export.Views
	b.ask("GET", "/api/proofs/"+p.ID+"/pictures", nil, "Views", &v)
	if n := len(v.Scale.Tables); n != 2 || v.Scale.Tables[1].Rows[0][0] != "true" || v.Scale.Tables[1].Rows[0][2] != "works as meant" {
		t.Fatalf("%d tables: %+v", n, v.Scale.Tables)
	}
	ids := map[string]bool{}
	for _, c := range v.Charts {
		ids[c.ID] = c.SVG != ""
	}
	if !ids["play"] || !ids["situations"] {
		t.Errorf("charts %v", ids)
	}
	b.foretell(p)
}

// foretell: the gate has 1 mm of air under it, so a printer true to a hundredth always
// works; one whose walls stand 0.9 mm proud cannot do better, and surely does worse.
func (b *bench) foretell(p *Proof) {
	t := b.t
	var y Yield
	if code := b.ask("POST", "/api/yields", YieldAsked{"one", p.ID, "true"}, "Yield", &y); code != 200 || y.Works < 0.99 || y.Hi < y.Lo {
		t.Errorf("true: %d, %+v", code, y)
	}
	least := y.Lo
	if code := b.ask("POST", "/api/yields", YieldAsked{"one", p.ID, "fat"}, "Yield", &y); code != 200 || y.Hi >= least || y.Figure.Tables[0].Rows[1][1] == "0" {
		t.Errorf("fat: %d, %+v", code, y)
	}
	if code := b.ask("POST", "/api/yields", YieldAsked{"one", p.ID, "nobody's"}, "", nil); code != 400 {
		t.Errorf("a printer that is not there: %d", code)
	}
	var c Compared
	b.ask("POST", "/api/compare", Two{p.ID, p.ID, "fat"}, "Compared", &c)
	if last := c.Rows[len(c.Rows)-1]; last.Name != "yield on fat" || last.Before != last.After || !strings.Contains(last.Before, " % (") {
		t.Errorf("%+v", last)
	}
}

// TestProofOutlivesRestart: what a page compares with is known to the next start.
func TestProofOutlivesRestart(t *testing.T) {
	cfg := Config{Folder: "", State: t.TempDir()}
	cfg.Options.Cache = sharedCache(t)
	b := openBench(t, cfg)
	b.enter()
	ch := b.listen("one")
	until(t, ch, "hello")
	b.ask("POST", "/api/proofs", asked("one"), "Started", nil)
	p := until(t, ch, "proved").Result
	until(t, ch, "pictures")
	cfg.Folder = b.dir
	b.cancel()
	<-b.done
	again := openBench(t, cfg)
	again.enter()
	var c Compared
	if code := again.ask("POST", "/api/compare", Two{p.ID, p.ID, ""}, "Compared", &c); code != 200 || len(c.Rows) < 5 {
		t.Errorf("%d, %+v", code, c)
	}
}
