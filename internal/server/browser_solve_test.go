package server

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestKeepSolve: the ferry slip is played, with one move shown; the session offers what
// it knows of itself, is put right by hand, begins the logbook and stands in it.
func TestKeepSolve(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.settled()
	p.ready()
	field := func(id, want string) {
		p.t.Helper()
		p.until(id+" offers "+want, `document.getElementById("`+id+`").value === "`+want+`"`)
	}
	p.click("#solve-fold summary")
	p.reads("solve-so-far", "the clock starts with the first move")
	p.click("#next")
	p.reads("count", "1 move")
	field("solve-hints", "1")
	p.until("it is not met yet", `document.getElementById("solve-gave").checked`)
	p.ready()
	p.do("boat", chromedp.Focus("#view canvas"))
	p.pick("boat")
	p.press(kb.ArrowLeft, chromedp.KeyModifiers(8))
	p.reads("left", "the goal is met")
	p.reads("solve-so-far", "the goal was met")
	p.until("not given up", `!document.getElementById("solve-gave").checked && document.getElementById("solve-min").value !== ""`)
	// the field is emptied as by hand: what is in it without a key is not taken for typed, and is filled in anew
	p.do("fill", chromedp.SendKeys("#solve-who", "ak"), chromedp.Evaluate(`(e => { e.focus(); e.select() })(document.getElementById("solve-min"))`, nil),
		chromedp.KeyEvent("22"), chromedp.ScrollIntoView("#solve-send"))
	field("solve-min", "22")
	p.shot("solve")
	p.axe("solve")
	p.click("#solve-send")
	p.reads("solve-said", "no logbook yet")
	p.mu.Lock()
	p.mistakes = nil // the browser's console reports the refusal's status
	p.mu.Unlock()
	p.click("#solve-begin")
	p.reads("solve-said", "AK solved after 22 min, 1 hint; on the bench, 2 moves")
	p.reads("workshop", "AK solved after 22 min")
	p.reads("solve-so-far", "the clock starts with the first move")
	p.click("#solve-undo")
	p.reads("solve-said", "taken back")
	p.until("gone", `!document.getElementById("workshop").innerText.includes("AK solved")`)
	p.size(390, 844, true)
	p.do("look", chromedp.ScrollIntoView("#solve-send"))
	p.narrow()
	p.shot("solve-phone")
	p.axe("solve on a phone")
	p.clean()
}
