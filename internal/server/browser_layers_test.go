package server

import (
	"bytes"
	"image/png"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestPictureWhileMoved: while a part moves, the picture is put together of what stands still
// and what moves; it must be the one that is drawn as a whole once the part rests. Of a
// window of a million pixels some hundred at the rims of parts may differ.
func TestPictureWhileMoved(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 900, false)
	p.reads("verdict", "works")
	p.ready()
	p.until("at rest", `document.body.dataset.proved`)
	take := func() (out []byte) {
		p.do("picture", chromedp.Sleep(time.Second), chromedp.Screenshot("#view", &out, chromedp.ByQuery))
		return out
	}
	for cut, key := range map[string]string{"true": kb.ArrowRight, "false": kb.ArrowLeft} {
		p.js(`(e => { if (e.checked !== `+cut+`) e.click(); return 0 })(document.getElementById("cut-on"))`, new(int))
		before := take()
		// the clock of the page is held, so that the picture is not drawn as a whole at rest
		p.js(`window.later = window.setTimeout; window.setTimeout = () => 0; 0`, new(int))
		p.do("move", chromedp.Focus("#view canvas"), chromedp.KeyEvent(key, chromedp.KeyModifiers(8)))
		moving := take()
		p.js(`window.setTimeout = window.later; document.getElementById("fit-view").click(); 0`, new(int))
		whole := take()
		if n := differ(t, before, whole); n < 500 {
			t.Errorf("cut %s: nothing moved, %d pixels differ", cut, n)
		}
		if n := differ(t, moving, whole); n > 800 {
			p.shot("layers-failed")
			t.Errorf("cut %s: %d pixels of the picture while moved are not those of the picture at rest", cut, n)
		}
	}
	p.clean()
}

// differ counts the pixels of two pictures whose colours lie more than an eighth apart.
func differ(t *testing.T, a, b []byte) (n int) {
	t.Helper()
	p, err := png.Decode(bytes.NewReader(a))
	if err != nil {
		t.Fatal(err)
	}
	q, err := png.Decode(bytes.NewReader(b))
	if err != nil || p.Bounds() != q.Bounds() {
		t.Fatalf("%v: %v, %v", err, p.Bounds(), q.Bounds())
	}
	far := func(a, b uint32) bool { return max(a, b)-min(a, b) > 0x2000 }
	for y := p.Bounds().Min.Y; y < p.Bounds().Max.Y; y++ {
		for x := p.Bounds().Min.X; x < p.Bounds().Max.X; x++ {
			r, g, k, _ := p.At(x, y).RGBA()
			u, v, w, _ := q.At(x, y).RGBA()
			if far(r, u) || far(g, v) || far(k, w) {
				n++
			}
		}
	}
	return n
}
