package server

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"feint/internal/logbook"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// value reads where a travel stands, as the page shows it.
func (p *person) value(travel int) float64 {
	p.t.Helper()
	var v float64
	p.js(fmt.Sprintf(`parseFloat(document.querySelector("output[for=travel-%d]").innerText)`, travel), &v)
	return v
}

// ready waits until the program has told how far the part in hand goes.
func (p *person) ready() {
	p.t.Helper()
	p.until("room measured", `document.getElementById("travels")?.dataset.ready === "1" && !document.body.dataset.glimpse`)
}

// grasp finds a place of the picture where a part is under the pointer: the page is
// asked at 1200 places at once, once the box is drawn.
func (p *person) grasp(part string) (x, y float64) {
	p.t.Helper()
	p.until("the box drawn", `Number(document.querySelector("#view canvas").dataset.drawn) > 0`)
	var at []float64
	p.js(fmt.Sprintf(`(() => {
		const c = document.querySelector("#view canvas"), r = c.getBoundingClientRect(), under = document.getElementById("under");
		for (let i = 0; i < 1200; i++) {
			const x = r.x + r.width * (i %% 40 + 0.5) / 40, y = r.y + r.height * (Math.floor(i / 40) + 0.5) / 30;
			if (document.elementFromPoint(x, y) !== c) continue; // out of sight
			c.dispatchEvent(new PointerEvent("pointermove", {clientX: x, clientY: y, pointerType: "mouse", bubbles: true}));
			if (under.innerText.startsWith(%q)) return [x, y];
		}
		return [];
	})()`, part), &at)
	if len(at) == 2 {
		return at[0], at[1]
	}
	p.shot("failed")
	p.t.Fatalf("%s is nowhere in the picture", part)
	return 0, 0
}

// TestPlayByDrag: the ferry slip is opened by hand: the gate is drawn against the
// bollard, which stops it 12 mm on (drawn so), then the boat out.
func TestPlayByDrag(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.ready()
	x, y := p.grasp("gate:")
	p.until("clearance named", `document.getElementById("under").innerText.includes("clear of")`)
	p.shot("pointed-at")
	p.drag(x, y, 500, 140)
	p.reads("count", "1 move")
	if v := p.value(0); v < 11.9 || v > 12 {
		t.Errorf("the gate stands at %g, the bollard is 12 mm on", v)
	}
	p.reads("under", "stopped by quay")
	p.shot("stopped-by-a-wall")
	p.do("boat", chromedp.Click("#part-1"))
	p.ready()
	x, y = p.grasp("boat:")
	p.drag(x, y, -420, 330)
	p.reads("count", "2 moves")
	if v := p.value(1); v > -25 {
		t.Errorf("the boat stands at %g", v)
	}
	p.reads("left", "the goal is met")
	p.shot("opened")
	p.do("take back", chromedp.Click("#take-back"))
	p.reads("count", "1 move")
	if v := p.value(1); v != 0 {
		t.Errorf("taken back, the boat stands at %g", v)
	}
	p.clean()
}

// TestPlayByFinger: on a phone a finger on a part draws it, upwards and downwards too,
// where else it would scroll the page.
func TestPlayByFinger(t *testing.T) {
	p := sit(t, Config{})
	p.size(390, 844, false)
	p.do("touch", emulation.SetTouchEmulationEnabled(true))
	p.reads("verdict", "works")
	p.settled()
	p.ready()
	p.click("#travel-0-up") // the gate, out of the way
	p.reads("count", "1 move")
	p.click("#part-1") // the boat
	p.ready()
	p.js(`(document.getElementById("view").scrollIntoView({block: "center", behavior: "instant"}), 0)`, new(int))
	p.still()
	p.resting("#view")
	x, y := p.grasp("boat:")
	touch := func(kind input.TouchType, ps ...*input.TouchPoint) {
		p.do("touch", chromedp.ActionFunc(func(ctx context.Context) error { return input.DispatchTouchEvent(kind, ps).Do(ctx) }), chromedp.Sleep(20*time.Millisecond))
	}
	var before, after float64
	p.js("scrollY", &before)
	touch(input.TouchStart, &input.TouchPoint{X: x, Y: y})
	for i := range 10 {
		touch(input.TouchMove, &input.TouchPoint{X: x, Y: y + 9*float64(i+1)})
	}
	touch(input.TouchEnd)
	p.reads("count", "2 moves")
	if v := p.value(1); v > -5 {
		t.Errorf("the boat stands at %g", v)
	}
	if p.js("scrollY", &after); math.Abs(after-before) > 1 {
		t.Errorf("the page was scrolled from %g to %g", before, after)
	}
	p.shot("phone-dragged")
	p.clean()
}

// TestPlayByKeys: the same with the keyboard alone, and a wall on the way.
func TestPlayByKeys(t *testing.T) {
	p := sit(t, Config{})
	p.reads("verdict", "works")
	p.ready()
	p.do("focus", chromedp.Focus("#view canvas"))
	press := func(key string, mod ...chromedp.KeyOption) {
		p.t.Helper()
		p.do("key", chromedp.KeyEvent(key, mod...), chromedp.Sleep(250*time.Millisecond))
	}
	press("n")
	p.ready()
	press(kb.ArrowLeft, chromedp.KeyModifiers(8)) // with Shift: as far as it goes
	p.reads("under", "stopped by gate")
	if v := p.value(1); v < -7 || v > -6.9 {
		t.Errorf("the boat stands at %g, the gate is 7 mm on", v)
	}
	p.reads("left", "leaves the meant way")
	press(kb.Backspace)
	p.reads("count", "0 moves")
	press("p")
	p.ready()
	for range 3 {
		press(kb.ArrowRight)
	}
	if v := p.value(0); v != 3 {
		t.Errorf("after three steps of 1 mm the gate stands at %g", v)
	}
	press(kb.ArrowRight, chromedp.KeyModifiers(8))
	p.reads("count", "1 move")
	p.reads("left", "1 move to the goal")
	press("n")
	p.ready()
	press(kb.ArrowLeft, chromedp.KeyModifiers(8))
	p.reads("left", "the goal is met")
	p.do("again", chromedp.Click("#again"))
	p.do("next", chromedp.Click("#next"))
	p.reads("under", "slide to the right")
	p.reads("count", "1 move")
	p.do("whole", chromedp.Click("#again"), chromedp.Sleep(600*time.Millisecond), chromedp.Click("#whole"))
	p.reads("under", "that is the goal")
	p.clean()
}

// TestChange: a param moves and the verdict with it; the design is broken and the
// mistake stands on its line; it is mended; a newer file is not overwritten.
func TestChange(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	set := func(v string) {
		p.t.Helper()
		p.js(`(e => { e.value = `+v+`; e.dispatchEvent(new Event("input", {bubbles: true})); return 0 })(document.getElementById("param-0"))`, new(int))
	}
	begin := time.Now()
	set("13")
	p.until("greyed", `document.body.dataset.stale === "1" || document.getElementById("verdict").innerText.toLowerCase().includes("stuck")`)
	p.reads("verdict", "stuck")
	t.Logf("a param's new verdict after %.2f s", time.Since(begin).Seconds())
	p.reads("compare", "works")
	p.do("look", chromedp.ScrollIntoView("#change"))
	p.shot("changed")
	p.do("undo", chromedp.Click("#param-undo"))
	p.reads("verdict", "works")

	file := filepath.Join(p.b.dir, "ferry.star")
	set("24")
	p.until("proved anew", `document.body.dataset.stale === "" && document.getElementById("param-0").value === "24"`)
	p.do("write", chromedp.Click("#param-write"))
	p.until("written", `document.getElementById("file-state").innerText.includes("as it is on the disk") && document.querySelector(".cm-content").innerText.includes("24,")`)
	text, _ := os.ReadFile(file)
	if string(text) != strings.Replace(ferry, `at", 20,`, `at", 24,`, 1) {
		t.Errorf("the file holds\n%s", text)
	}

	broken := strings.Replace(string(text), "boat = part(", "boat = prat(", 1)
	if err := os.WriteFile(file, []byte(broken), 0o640); err != nil { // in the maker's own editor
		t.Fatal(err)
	}
	p.reads("mistakes", "line 6")
	p.reads("state", "mistakes")
	p.until("marked on its line", `document.querySelector(".cm-lintRange-error, .cm-lint-marker-error, .cm-lintPoint-error") !== null`)
	p.do("look", chromedp.ScrollIntoView("#mistakes"))
	p.shot("mistake")
	p.axe("with a mistake")
	if err := os.WriteFile(file, text, 0o640); err != nil {
		t.Fatal(err)
	}
	p.until("mended", `document.getElementById("mistakes").innerText === "" && document.body.dataset.stale === ""`)
	p.reads("verdict", "works")

	// typed here, while the file changes there
	p.do("type", chromedp.ScrollIntoView(".cm-line", chromedp.ByQuery), chromedp.Click(".cm-line", chromedp.ByQuery), chromedp.KeyEvent("#"))
	p.reads("file-state", "not saved yet")
	if err := os.WriteFile(file, append(text, "# theirs\n"...), 0o640); err != nil {
		t.Fatal(err)
	}
	p.reads("file-state", "changed elsewhere")
	if now, _ := os.ReadFile(file); !strings.HasSuffix(string(now), "# theirs\n") {
		t.Error("overwritten")
	}
	p.do("theirs", chromedp.Click("#theirs"))
	p.until("taken", `document.querySelector(".cm-content").innerText.includes("# theirs")`)
	p.clean()
}

// TestWorkshopPage: a print is noted in less than half a minute of clicks, a line
// that says nonsense is answered, and a deed is taken back.
func TestWorkshopPage(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.do("begin", chromedp.ScrollIntoView("#begin-log"), chromedp.Click("#begin-log"))
	p.until("a form", `document.getElementById("log-min") !== null`)
	p.do("fill", chromedp.SendKeys("#log-min", "95"), chromedp.SendKeys("#log-grams", "41"),
		chromedp.SetValue("#log-outcome", "binds"), chromedp.SendKeys("#log-place", "gate"))
	p.until("a line", `document.getElementById("log-line").value === "95 min, 41 g, binds at gate"`)
	p.do("note", chromedp.Click("#log-send"))
	p.reads("logged", "trial 1")
	p.reads("workshop", "binds at gate")
	p.shot("print-noted")
	p.axe("workshop")
	b, err := logbook.Open(context.Background(), p.b.dir, logbook.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	ts, err := logbook.LastTrials(context.Background(), b, 0)
	if err != nil || len(ts) != 1 || ts[0].Minutes == nil || math.Abs(*ts[0].Minutes-95) > 0 || string(ts[0].Outcome) != "binds" {
		t.Errorf("%+v %v", ts, err)
	}
	if err := b.Close(); err != nil {
		t.Error(err)
	}
	p.do("nonsense", chromedp.SendKeys("#log-line", "flurb 12"), chromedp.Click("#log-send"))
	p.until("answered", `document.getElementById("logged").innerText.includes("flurb")`)
	p.mu.Lock()
	p.mistakes = nil // the browser's console reports the refusal's status
	p.mu.Unlock()
	p.do("again", chromedp.Evaluate(`document.getElementById("log-line").value = ""`, nil), chromedp.SendKeys("#log-line", "new, 80 min"), chromedp.Click("#log-send"))
	p.reads("logged", "trial 2")
	p.do("undo", chromedp.Click("#unlog"))
	p.reads("logged", "taken back")
	p.until("gone", `!document.getElementById("workshop").innerText.includes("80 min")`)
	p.clean()
	p.quieten() // what is refused is reported
	p.do("on a new printer", chromedp.Evaluate(`document.getElementById("log-line").value = ""`, nil), chromedp.SendKeys("#log-line", "70 min, on Kestrel"), chromedp.Click("#log-send"))
	p.reads("logged", `no printer "Kestrel" yet`)
	p.click("#log-add")
	p.reads("logged", "is noted")
	p.until("noted on it", `/kestrel/i.test(document.querySelector("#log-tables table")?.innerText) && [...document.querySelectorAll("#log-printer option")].some(o => o.value === "Kestrel")`)
}

// TestReconnect: the program is killed and started again; the page finds it, and
// what was set on the page is proved again.
func TestReconnect(t *testing.T) {
	state, store := t.TempDir(), sharedCache(t)
	p := sit(t, Config{State: state, Options: optionsWith(store)})
	p.reads("verdict", "works")
	p.js(`(e => { e.value = 13; e.dispatchEvent(new Event("input", {bubbles: true})); return 0 })(document.getElementById("param-0"))`, new(int))
	p.reads("verdict", "stuck")
	p.quieten()
	p.b.close()
	p.reads("state", "does not answer")
	p.shot("shut")
	p.axe("shut")
	// another editor writes while the bench is shut
	if err := os.WriteFile(filepath.Join(p.b.dir, "ferry.star"), []byte(ferry+"# theirs\n"), 0o640); err != nil {
		t.Fatal(err)
	}
	openBench(t, Config{Folder: p.b.dir, State: state, Options: optionsWith(store)})
	p.until("back again", `document.body.dataset.lost === "" && document.body.dataset.stale === ""`)
	p.reads("verdict", "stuck")
	p.until("read again", `document.querySelector(".cm-content").innerText.includes("# theirs")`)
	p.ready()
}
