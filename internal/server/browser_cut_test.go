package server

import (
	"bytes"
	"fmt"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// knob is where the handle of the cut is seen, and what it says.
func (p *person) knob() (x, y float64, says string) {
	p.t.Helper()
	var k struct {
		X, Y float64
		Says string
	}
	p.js(`(e => { const r = e.getBoundingClientRect(); return {X: r.x + r.width / 2, Y: r.y + r.height / 2, Says: e.getAttribute("aria-valuetext")} })(document.getElementById("cut-knob"))`, &k)
	return k.X, k.Y, k.Says
}

// agrees fails unless knob, slider and the number beside it tell one place.
func (p *person) agrees() float64 {
	p.t.Helper()
	_, _, says := p.knob()
	p.reads("cut-place", says)
	var share, lo, hi, at float64
	p.js(`Number(document.getElementById("cut-at").value)`, &share)
	for name, v := range map[string]*float64{"min": &lo, "max": &hi, "now": &at} {
		p.js(fmt.Sprintf(`Number(document.getElementById("cut-knob").getAttribute("aria-value%s"))`, name), v)
	}
	if math.Abs(lo+(hi-lo)*share-at) > 0.11 {
		p.t.Errorf("the slider stands at %g of %g to %g, the knob says %g", share, lo, hi, at)
	}
	return at
}

// seen counts the pixels of the picture by whether they are of one part's hues.
func (p *person) seen(is func(r, g, b uint32) bool) (n int) {
	p.t.Helper()
	var raw []byte
	p.do("picture", chromedp.Screenshot("#view", &raw))
	m, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		p.t.Fatal(err)
	}
	for y := m.Bounds().Min.Y; y < m.Bounds().Max.Y; y++ {
		for x := m.Bounds().Min.X; x < m.Bounds().Max.X; x++ {
			if r, g, b, _ := m.At(x, y).RGBA(); is(r>>8, g>>8, b>>8) {
				n++
			}
		}
	}
	return n
}

// TestCutByHand: the cut is dragged in the picture by its knob, moved by the knob's keys
// and by the slider; all agree, and go no further than the box. The quay is 60 by 36 mm
// and its solid filled where it is cut.
func TestCutByHand(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.until("the box drawn", `Number(document.querySelector("#view canvas").dataset.drawn) > 0`)
	p.js(`(e => { e.value = "y"; e.dispatchEvent(new Event("change")); return 0 })(document.getElementById("cut-axis"))`, new(int))
	p.js(`(e => { e.value = 0.5; e.dispatchEvent(new Event("input")); return 0 })(document.getElementById("cut-at"))`, new(int))
	begin := p.agrees()
	p.still()
	x, y, _ := p.knob()
	p.shot("cut")
	hatched := func(r, g, b uint32) bool { // the filling's light grey of the quay, which its skin is nowhere
		return r > 215 && r < 232 && g > 215 && g < 232 && b > 215 && b < 232
	}
	filled := p.seen(hatched)
	var way float64 // the knob's arrow points along the axis
	p.js(`Number(/rotate\((-?[\d.]+)rad/.exec(document.getElementById("cut-knob").style.transform)[1])`, &way)
	p.drag(x, y, 60*math.Cos(way), 60*math.Sin(way))
	at := p.agrees()
	if at <= begin+1 {
		t.Errorf("dragged along its arrow the cut went from %g to %g", begin, at)
	}
	if nx, ny, _ := p.knob(); math.Hypot(nx-x-60*math.Cos(way), ny-y-60*math.Sin(way)) > 12 {
		t.Errorf("the knob was dragged by 60 pixels from %g, %g and stands at %g, %g", x, y, nx, ny)
	}
	p.shot("cut-dragged")
	p.do("focus", chromedp.Focus("#cut-knob"), chromedp.KeyEvent(kb.ArrowLeft))
	if next := p.agrees(); next >= at {
		t.Errorf("a key moved it from %g to %g", at, next)
	}
	p.do("end", chromedp.KeyEvent(kb.End), chromedp.KeyEvent(kb.ArrowRight))
	p.agrees()
	p.do("home", chromedp.KeyEvent(kb.Home))
	p.agrees()
	p.js(`(e => { e.value = 0.25; e.dispatchEvent(new Event("input", {bubbles: true})); return 0 })(document.getElementById("cut-at"))`, new(int))
	quarter := p.agrees()
	if quarter >= begin {
		t.Errorf("the slider at a quarter: %g, at the half %g", quarter, begin)
	}
	for _, axis := range []string{"x", "z"} {
		p.do("across", chromedp.SetValue("#cut-axis", axis))
		p.js(`document.getElementById("cut-axis").dispatchEvent(new Event("change")) && 0`, new(int))
		p.agrees()
		if _, _, says := p.knob(); !strings.HasPrefix(says, axis+" = ") {
			t.Errorf("across %s the knob says %q", axis, says)
		}
		p.shot("cut-" + axis)
	}
	p.axe("cut")
	p.do("off", chromedp.Click("#cut-on"))
	p.until("no knob", `document.getElementById("cut-knob").hidden`)
	if none := p.seen(hatched); filled < 2000 || none > filled/20 {
		t.Errorf("%d pixels are filled where it is cut in the middle, %d where it is not", filled, none)
	}
	p.clean()
}
