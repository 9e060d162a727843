package server

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/pipeline"
)

// twoPrinters is an invented file of settings: a fine and a fat printer, whose prints stand
// proud by 0.01 +- 0.01 and by 0.05 +- 0.02 mm a surface.
const twoPrinters = `[[setting]]
name = "fine"
printer = "Kestrel"
spool = "grey"
[setting.growth.in_plane]
mean = 0.01
prints = 0.01
features = 0.0
[[setting]]
name = "fat"
printer = "Bittern"
spool = "black"
[setting.growth.in_plane]
mean = 0.05
prints = 0.016
features = 0.012
`

// TestForPrinter: a verdict for a printer asks for the growths of its prints, mean and two
// standard deviations (closed form: 0.01 +- 0.02; 0.05 +- 2 sqrt(0.016^2 + 0.012^2) = 0.05
// +- 0.04), widened to hold the drawing; "" means what the workshop prefers, "none" none.
func TestForPrinter(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	if err := os.WriteFile(filepath.Join(b.dir, "printers.toml"), []byte("# mine\n"+twoPrinters), 0o600); err != nil {
		t.Fatal(err)
	}
	ch := b.listen("one")
	until(t, ch, "hello")
	ids := map[string]bool{}
	for _, k := range []struct {
		prefer, on, want string
		lo, hi           float64
	}{
		{"", "", "", -0.05, 0.05},
		{"", "fine", "fine", -0.01, 0.03},
		{"", "fat", "fat", 0, 0.09},
		{"fine", "", "fine", -0.01, 0.03},
		{"fine", "none", "", -0.05, 0.05},
	} {
		if code := b.ask("PUT", "/api/printers/preferred", Preference{k.prefer}, "None", nil); code != 200 {
			t.Fatal(code)
		}
		var be Bench
		b.ask("GET", "/api/bench", nil, "Bench", &be)
		if be.Preferred != k.prefer || len(be.Settings) != 2 || be.Settings[1].With != "Bittern, black" || math.Abs(be.Settings[1].Growth.Hi-0.09) > 1e-9 {
			t.Errorf("bench %+v", be)
		}
		a := asked("one")
		a.On = k.on
		b.ask("POST", "/api/proofs", a, "Started", nil)
		p := until(t, ch, "proved").Result
		for p.Partial {
			p = until(t, ch, "proved").Result
		}
		if g := p.Document.Growth; p.On != k.want || math.Abs(g.Lo-k.lo) > 1e-9 || math.Abs(g.Hi-k.hi) > 1e-9 {
			t.Errorf("prefers %q, asked for %q: told for %q, %+v", k.prefer, k.on, p.On, g)
		}
		ids[p.ID+p.On] = true
	}
	if len(ids) != 3 {
		t.Errorf("%d proofs of three printers: %v", len(ids), ids)
	}
	file := filepath.Join(b.dir, "printers.toml")
	m, err := pipeline.NamedPrinter(b.dir, "")
	raw, _ := os.ReadFile(file)
	if err != nil || m == nil || m.Name != "fine" || !strings.Contains(string(raw), "# mine") {
		t.Errorf("the command line means %+v, %v; the file %q", m, err, raw)
	}
	for _, bad := range []string{"nobody's", "../fine"} {
		a := asked("one")
		a.On = bad
		if code := b.ask("POST", "/api/proofs", a, "", nil); code != 400 {
			t.Errorf("a verdict for %q: %d", bad, code)
		}
		if code := b.ask("PUT", "/api/printers/preferred", Preference{bad}, "", nil); code != 400 {
			t.Errorf("%q preferred: %d", bad, code)
		}
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if code := b.ask("PUT", "/api/printers/preferred", Preference{"fine"}, "", nil); code != 400 {
		t.Errorf("preferred without a file: %d", code)
	}
}

// TestGrowthFixed: what the program was told to ask is asked whatever the printer.
func TestGrowthFixed(t *testing.T) {
	b := openBench(t, Config{Fixed: true})
	if err := os.WriteFile(filepath.Join(b.dir, "printers.toml"), []byte(twoPrinters), 0o600); err != nil {
		t.Fatal(err)
	}
	a := asked("one")
	a.On = "fat"
	if err := b.s.checkAsked(&a); err != nil {
		t.Fatal(err)
	}
	o, err := b.s.options(context.Background(), &a)
	if err != nil || o.Growth != [2]float64{-0.05, 0.05} || o.Printer == nil || o.Printer.Name != "fat" || o.Print == nil {
		t.Errorf("%v, %+v, %v", o.Growth, o.Printer, err)
	}
}
