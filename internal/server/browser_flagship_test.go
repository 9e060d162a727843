package server

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"feint/internal/export"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// flagship is a workshop with the flagship in it.
func flagship(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	for _, name := range []string{"lighthouse.star", "tower.star"} {
		text, err := os.ReadFile(filepath.Join("../../examples/lighthouse", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o640); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// lighthouse opens the flagship in a browser, proved.
func lighthouse(t *testing.T) (*person, []export.MoveInfo) {
	chromium(t)
	p := sit(t, Config{Folder: flagship(t), Design: "lighthouse.star"})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.until("where it binds and leaks", `document.body.dataset.limits === ""`) // what was told before is not kept
	all := p.b.s.runs.proofs.All()
	return p, all[len(all)-1].Proof.Document.Solution
}

// travelOf is the number of the travel of a part that has one.
func (p *person) travelOf(part string) (travel int, turns bool) {
	p.t.Helper()
	st := p.b.s.runs.stages.All()
	for i, k := range st[len(st)-1].view.Travels {
		if st[len(st)-1].view.Parts[k.Part].Name == part {
			return i, k.Full
		}
	}
	p.t.Fatalf("%s has no travel", part)
	return 0, false
}

// off is how far b lies from a, on the short way round where it turns.
func off(a, b float64, turns bool) float64 {
	if turns {
		return math.Remainder(b-a, 360)
	}
	return b - a
}

// stride is how far a key moves a part, mm or degrees, as the page says.
func stride(turns bool) float64 {
	if turns {
		return 5
	}
	return 1
}

// strike presses an arrow key and waits until the part in hand has moved.
func (p *person) strike(travel int, from float64, forward bool) {
	p.t.Helper()
	key := kb.ArrowRight
	if !forward {
		key = kb.ArrowLeft
	}
	p.do("key", chromedp.KeyEvent(key))
	p.until(fmt.Sprintf("travel %d beyond %g", travel, from), fmt.Sprintf(`Math.abs(parseFloat(document.querySelector("output[for=travel-%d]")?.innerText) - %g) > 0.01`, travel, from))
}

// find takes a part in hand with N, past the others without waiting for them.
func (p *person) find(part string) {
	p.t.Helper()
	for range 12 {
		var now string
		p.js(`document.querySelector("input[name=part]:checked + label")?.innerText ?? ""`, &now)
		if now == part {
			p.ready()
			return
		}
		p.do("next part", chromedp.KeyEvent("n"), chromedp.Sleep(50*time.Millisecond))
	}
	p.t.Fatalf("%s does not come in hand", part)
}

// TestFlagshipByKeys: the lighthouse is opened with the keyboard alone, along the way
// that the proof tells, in as many moves.
func TestFlagshipByKeys(t *testing.T) {
	p, way := lighthouse(t)
	p.do("focus", chromedp.Focus("#view canvas"))
	for i, m := range way {
		p.find(m.Part)
		k, turns := p.travelOf(m.Part)
		to := m.Strokes[len(m.Strokes)-1].To
		for v := p.value(k); math.Abs(off(v, to, turns)) > 0.6*stride(turns); v = p.value(k) {
			p.strike(k, v, off(v, to, turns) > 0)
		}
		p.reads("count", fmt.Sprintf("%d move", i+1))
		if i == 6 {
			p.shot("flagship-half-way")
		}
	}
	p.reads("count", fmt.Sprintf("%d moves", len(way)))
	p.reads("left", "the goal is met")
	p.shot("flagship-opened-by-keys")
	p.axe("flagship opened")
	p.clean()
}
