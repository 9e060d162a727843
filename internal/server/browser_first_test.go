package server

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// orchard is invented: the ladder, which lies wholly before the plane that cuts the box at
// first, has to be moved first.
const orchard = `# Invented for feint.
ground = part("ground", frame = True, solid = block((-60, 60), (-40, 40), (0, 6)) + block((-60, 60), (12, 18), (6, 16)))
cart = part("cart", solid = block((-50, -24), (-11, 11), (6.5, 20)), travels = [slide(x, 0, 120)])
chock = part("chock", solid = block((-10, -1), (-33, 10), (6.5, 14)), travels = [slide(y, -30, 0)])
ladder = part("ladder", solid = block((-30, 20), (-40, -34), (6.5, 12)), travels = [slide(x, -60, 60)])
start({})
goal("cart away", {cart.slide: (110, None)})
`

// TestFirstMoveInSight: at first the part of the first move is in hand and in the picture,
// though the cut would take it away; verdict, first move and box are in the window without
// scrolling, on a small screen and on a phone, and the box is framed anew when the window
// changes.
func TestFirstMoveInSight(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "orchard.star"), []byte(orchard), 0o640); err != nil {
		t.Fatal(err)
	}
	p := sit(t, Config{Folder: dir})
	p.size(1280, 720, false)
	p.reads("first-move", "ladder")
	p.ready()
	p.until("in hand", `document.querySelector("input[name=part]:checked + label")?.innerText === "ladder"`)
	inside := `["verdict-word", "first-move"].every(i => (r => r.top >= 0 && r.bottom <= innerHeight)(document.getElementById(i).getBoundingClientRect()))`
	for _, k := range []struct {
		w, h int64
		name string
	}{{1280, 720, "first-small"}, {390, 844, "first-phone"}, {844, 390, "first-phone-turned"}} {
		p.size(k.w, k.h, false)
		p.js(`scrollTo(0, 0); 0`, new(int))
		p.shot(k.name)
		if k.h > k.w || k.w > 1000 {
			p.until("verdict and first move in the window", inside)
		}
		var seen bool
		p.js(`(r => r.height > 100 && r.top < innerHeight - 100)(document.querySelector("#view canvas").getBoundingClientRect())`, &seen)
		if !seen && k.w != 844 {
			t.Errorf("%s: the box is below the window", k.name)
		}
	}
	p.size(1280, 720, false)
	p.js(`scrollTo(0, 0); 0`, new(int))
	if _, _, ok := p.visible("ladder"); !ok {
		t.Error("the ladder is not in the picture")
	}
	p.clean()
}

// TestGlimpse: when a box is opened its first move is shown once and taken back, and counts
// for nothing; whoever presses a key ends it at once, and whom motion disturbs sees none.
func TestGlimpse(t *testing.T) {
	p := sit(t, Config{})
	p.size(1280, 720, false)
	p.until("the first move is shown", `document.body.dataset.glimpse === "1"`)
	p.reads("under", "the first move, only shown: gate")
	var before, after int
	p.js(`Number(document.querySelector("#view canvas").dataset.drawn)`, &before)
	p.until("it is over", `document.body.dataset.glimpse === ""`)
	p.js(`Number(document.querySelector("#view canvas").dataset.drawn)`, &after)
	if after <= before {
		t.Error("no picture of the first move was drawn")
	}
	p.ready()
	p.reads("count", "0 moves")
	if v := p.value(p.travel("gate")); v != 0 {
		t.Errorf("the gate is left at %g", v)
	}
	p.do("again", chromedp.Reload())
	p.until("it is shown again", `document.body.dataset.glimpse === "1"`)
	p.do("a key", chromedp.KeyEvent("x"))
	var on string
	p.js(`document.body.dataset.glimpse + document.getElementById("under").innerText`, &on)
	if on != "" {
		t.Errorf("after a key is struck it goes on: %q", on)
	}
	p.do("calm", emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}}), chromedp.Reload())
	p.reads("first-move", "gate")
	p.ready()
	p.until("no motion", `document.body.dataset.glimpse === undefined`)
	p.clean()
}

// TestControlsInSight: in a window of 1280 by 720 the controls of play are in sight with the
// box, also of a box of many parts and of one that is turned over; on a phone nothing
// reaches beyond the page, and what is wider says so and takes the focus of the keyboard.
func TestControlsInSight(t *testing.T) {
	for _, k := range []struct{ name, folder string }{{"ferry", ""}, {"lighthouse", "../../examples/lighthouse"}, {"beehive", "../../examples/beehive"}} {
		t.Run(k.name, func(t *testing.T) {
			p := sit(t, Config{Folder: k.folder, Design: k.name + ".star"})
			p.size(1280, 720, false)
			p.until("a verdict", `document.body.dataset.verdict`)
			p.ready()
			p.until("told how long the way is", `document.getElementById("left").innerText.includes("meant way")`)
			p.resting("#whole")
			for _, id := range []string{"view", "travels", "take-back", "next", "whole"} {
				var bottom float64
				p.js(`document.getElementById("`+id+`").getBoundingClientRect().bottom`, &bottom)
				if bottom <= 0 || bottom > 720 {
					t.Errorf("%s ends at %g of 720 pixels", id, bottom)
				}
			}
			p.shot("low-window-" + k.name)
			p.size(390, 844, false)
			p.narrow()
			p.js(`document.querySelectorAll("#sheet details").forEach(e => { e.open = true }); 0`, new(int))
			p.until("all that is wider than the phone says so and takes the focus", `[...document.querySelectorAll(".wide")].every(e => !e.checkVisibility() || e.scrollWidth <= e.clientWidth + 2 || (getComputedStyle(e, "::before").content.includes("sideways") && e.tabIndex === 0))`)
			p.do("look", chromedp.ScrollIntoView("#fit"))
			p.shot("phone-wide-" + k.name)
			p.clean()
		})
	}
}
