package server

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestPictureWhileMoved: while a part moves, the picture is put together of what stands still
// and what moves, and rims are not smoothed; looked at from a little further away, by squares
// of eight pixels, it must be the one that is drawn as a whole once the part rests.
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
	rested := func() []byte { p.still(); return take() }
	for cut, key := range map[string]string{"true": kb.ArrowRight, "false": kb.ArrowLeft} {
		p.js(`(e => { if (e.checked !== `+cut+`) e.click(); return 0 })(document.getElementById("cut-on"))`, new(int))
		before := rested()
		// the clock of the page is held, so that the picture is not drawn as a whole at rest
		p.js(`window.later = window.setTimeout; window.setTimeout = () => 0; 0`, new(int))
		p.do("move", chromedp.Focus("#view canvas"), chromedp.KeyEvent(key, chromedp.KeyModifiers(8)))
		moving := take()
		p.js(`window.setTimeout = window.later; document.getElementById("fit-view").click(); 0`, new(int))
		whole := rested()
		if n := differ(t, before, whole); n < 12 {
			t.Errorf("cut %s: nothing moved, %d squares differ", cut, n)
		}
		if n := differ(t, moving, whole); n > 4 {
			p.shot("layers-failed")
			t.Errorf("cut %s: %d squares of the picture while moved are not those of the picture at rest", cut, n)
		}
	}
	p.clean()
}

// TestPictureShowsWhatIsThere: only faces that look towards the eye, and that the cut leaves,
// are drawn; that none is missing is checked by rays through all faces: where the picture is
// paper the pointer finds no part, and where it is not it finds one.
func TestPictureShowsWhatIsThere(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 900, false)
	p.reads("verdict", "works")
	p.ready()
	p.until("at rest", `document.body.dataset.proved`)
	p.js(`document.getElementById("cut-knob").style.visibility = "hidden"; 0`, new(int)) // it lies over the picture
	for _, what := range []string{"fit-view", "view-left", "view-up", "cut-on", "view-right", "view-down"} {
		p.js(`document.getElementById("`+what+`").click(); 0`, new(int))
		var raw []byte
		p.still()
		p.do("picture", chromedp.Screenshot("#view", &raw, chromedp.ByQuery))
		m, err := png.Decode(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		const step = 8
		var found []bool
		p.js(`(() => {
			const c = document.querySelector("#view canvas"), r = c.getBoundingClientRect(), out = [];
			for (let y = 8; y + 8 < r.height; y += 8) for (let x = 8; x + 8 < r.width; x += 8) {
				c.dispatchEvent(new PointerEvent("pointermove", {clientX: r.x + x, clientY: r.y + y, pointerType: "mouse", isPrimary: true, bubbles: true}));
				out.push(document.getElementById("under").textContent !== "");
			}
			return out;
		})()`, &found)
		n, parts, empty := 0, 0, 0
		for y := step; y+step < m.Bounds().Dy(); y += step {
			for x := step; x+step < m.Bounds().Dx() && n < len(found); x += step {
				switch is, sure := paper(m, x, y); {
				case sure && is && found[n]:
					t.Errorf("%s: at %d, %d of the picture is nothing, and a part is there", what, x, y)
				case sure && !is && !found[n]:
					t.Errorf("%s: at %d, %d of the picture is a part, and none is there", what, x, y)
				case sure && is:
					empty++
				case sure:
					parts++
				}
				n++
			}
		}
		if t.Failed() {
			_ = os.WriteFile(shots+"/there-failed.png", raw, 0o644)
		}
		if n != len(found) || parts < 40 || empty < 40 {
			t.Errorf("%s: looked at %d places of %d, %d of parts and %d of none", what, n, len(found), parts, empty)
		}
	}
	p.clean()
}

// still waits until the picture has been drawn as it is at rest.
func (p *person) still() {
	p.t.Helper()
	p.until("a sharp picture", `document.querySelector("#view canvas").dataset.sharp === "1"`)
	p.await(`new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(0))))`, new(int)) // it is on the screen
}

// paper tells whether a picture is as empty at a place as in its corner; it is not sure
// where not all about the place is of one kind, at rims and lines.
func paper(m image.Image, x, y int) (is, sure bool) {
	const about = 4
	r, g, b, _ := m.At(2, m.Bounds().Dy()-3).RGBA()
	same := 0
	for v := y - about; v <= y+about; v++ {
		for u := x - about; u <= x+about; u++ {
			if i, j, k, _ := m.At(u, v).RGBA(); i == r && j == g && k == b {
				same++
			}
		}
	}
	all := (2*about + 1) * (2*about + 1)
	return same > 0, same == 0 || same == all
}

// differ counts the squares of eight pixels of two pictures whose mean colours lie more than
// an eighth apart.
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
	const side = 8
	for y := 0; y+side <= p.Bounds().Dy(); y += side {
		for x := 0; x+side <= p.Bounds().Dx(); x += side {
			far := false
			for k, v := range sum(p, x, y, side) {
				w := sum(q, x, y, side)[k]
				far = far || max(v, w)-min(v, w) > 0x2000*side*side
			}
			if far {
				n++
			}
		}
	}
	return n
}

// sum is that of the colours of a square.
func sum(m image.Image, x, y, side int) (out [3]uint32) {
	for v := y; v < y+side; v++ {
		for u := x; u < x+side; u++ {
			r, g, b, _ := m.At(u, v).RGBA()
			out[0], out[1], out[2] = out[0]+r, out[1]+g, out[2]+b
		}
	}
	return out
}
