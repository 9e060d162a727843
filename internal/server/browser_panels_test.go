package server

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// urn is invented: its proof fills every section of the sheet. The rod's pin runs in a slot
// (unrolled), the lid is held by magnets.
const urn = `# An urn. Invented for feint.
gap = param("gap", 0.2, min = 0.1, max = 0.4, unit = "mm", note = "round the rod, a side")
def mag(x, z, name, mates): return magnet(d = 6, h = 3, at = (x, 0, z), name = name, mates = mates)
urn = part("urn", frame = True, solid = block((-60, -9), (-10, 10), (0, 10)) + block((-10, 10), (-10, 10), (0, 24))
    - cylinder(d = 10, h = 40).at(z = -1) - block((0, 11), (-1.6, 1.6), (7, 30)) - block((0, 11), (-1.6, 11), (7, 12)),
    magnets = [mag(-44, 8.5, "a", "c"), mag(-36, 8.5, "b", "d")])
rod = part("rod", solid = cylinder(d = 10 - 2 * gap, h = 24).at(z = 1) + block((3, 8), (-1.2, 1.2), (8, 10)), travels = [slide(z, 0, 30), turn(z, 0, 60)])
lid = part("lid", solid = block((-60, -20), (-10, 10), (10.5, 16)), travels = [slide(z, 0, 20, name = "lift")], magnets = [mag(-44, 12, "c", ""), mag(-36, 12, "d", "")])
start({rod.turn: 50})
step("pin at the slot", {rod.turn: (0, 8)})
goal("both out", {rod.slide: (25, None), lid.lift: (18, None)})
`

// stocked fills the logbook of the urn: prints, readings, a fault with its standing check,
// a solve.
func (p *person) stocked() {
	p.t.Helper()
	p.b.enter()
	post := func(path string, in any) {
		if code := p.b.ask("POST", path, in, "", nil); code != 200 {
			p.t.Fatalf("%s: %d", path, code)
		}
	}
	post("/api/workshop", None{})
	post("/api/records/printer", RecordSet{[]string{"name=Kestrel", "bed_x=220", "bed_y=220"}})
	for _, line := range []string{
		"95 min, 41 g, on Kestrel", "binds at rod",
		"0.15 tight, bore 12 = 11.86 +-0.02, bore 8 = 7.84 +-0.02, bore 10 = 9.85 +-0.02, peg 10 = 10.11 +-0.02, peg 8 = 8.12 +-0.02, peg 6 = 6.1 +-0.02, peg 12 = 12.1 +-0.02, solved AK 22 min, 1 hint",
	} {
		post("/api/workshop/urn.star/lines", LogLine{line, []ParamValue{}})
	}
	post("/api/faults/1/stand", BoundGiven{"bind by 0.03"})
}

// TestEveryPanel: every section of the sheet with all that can be opened in it, in light and
// in dark, in a window of 1280 by 720 and on a phone: no violation of WCAG 2.2 A and AA by
// axe-core; the focus is seen on everything that takes it; no words of a drawing lie over
// others; every drawing has a name, and words or a table beside it; nothing reaches beyond
// the page.
func TestEveryPanel(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "urn.star"), []byte(urn), 0o640); err != nil {
		t.Fatal(err)
	}
	p := sit(t, Config{Folder: dir, Design: "urn.star"})
	p.size(1280, 720, false)
	p.settled()
	p.stocked()
	p.reads("log-tables", "binds at rod")
	p.until("a fitted curve", `document.querySelector("#printers svg.learnt polyline")`)
	p.set("0.21")
	p.until("the change", `document.body.dataset.stale === "" && document.querySelector("#compare table") && !document.getElementById("compare").innerText.includes("being worked out")`)
	p.settled()
	p.click("#edit-trial-1")
	p.until("a record", `document.getElementById("record-form")`)
	p.do("few gauges", chromedp.SetValue("#gauge-most", "0"))
	for _, k := range [][2]string{{"#fits-find", "#fits table"}, {"#files-make", "#files-made table"}, {"#gauges-cut", "#gauges-made table"}, {"#yield-ask", "#compare figure svg"}} {
		p.js(fmt.Sprintf(`document.querySelector(%q).click(); 0`, k[0]), new(int))
		p.until(k[1], fmt.Sprintf(`document.querySelector(%q)`, k[1]))
	}
	p.until("what is foretold of both", `/yield on an unknown printer\s+\d.*\(.*\d.*\(/.test(document.querySelector("#compare table").innerText)`)
	p.typeAtEnd("x = part(")
	p.until("a mistake", `document.querySelector("#mistakes li")`)
	p.js(`document.querySelectorAll("details").forEach(e => { e.open = true }); 0`, new(int))
	p.until("all sections", `[...document.querySelectorAll("#sheet > section:not(#begin)")].every(s => !s.hidden) && document.querySelector("#log-deeds table")`)
	for _, k := range []struct {
		w, h int64
		dark bool
	}{{1280, 720, false}, {1280, 720, true}, {390, 844, true}, {390, 844, false}} {
		where := fmt.Sprintf("%d wide, dark %v", k.w, k.dark)
		p.size(k.w, k.h, k.dark)
		p.resting("#files")
		p.axe(where)
		p.focusSeen(where)
		p.wordsApart(where)
		if k.w == 390 {
			p.narrow()
			p.labels(where)
		}
		if k.dark {
			p.sections(fmt.Sprintf("panels-%d", k.w))
		}
	}
	p.pictured()
	p.clean()
}

// sections keeps a picture of every section, of the tall ones as much as the browser draws.
func (p *person) sections(name string) {
	p.t.Helper()
	var all []struct {
		ID         string
		X, Y, W, H float64
	}
	p.js(`[...document.querySelectorAll("#sheet > section:not([hidden]), #box")].map(e => { const r = e.getBoundingClientRect(); return {ID: e.id, X: r.x + scrollX, Y: r.y + scrollY, W: r.width, H: Math.min(r.height, 3000)} })`, &all)
	for _, k := range all {
		p.do("picture of "+k.ID, chromedp.ActionFunc(func(ctx context.Context) error {
			png, err := cdpage.CaptureScreenshot().WithCaptureBeyondViewport(true).WithClip(&cdpage.Viewport{X: k.X, Y: k.Y, Width: k.W, Height: k.H, Scale: 1}).Do(ctx)
			if err == nil {
				err = os.WriteFile(filepath.Join(shots, name+"-"+k.ID+".png"), png, 0o644)
			}
			return err
		}))
	}
}

// none runs a script that lists what is wrong, and fails unless that is nothing.
func (p *person) none(what, script string) {
	p.t.Helper()
	var wrong []string
	p.await(script, &wrong)
	if len(wrong) > 0 {
		p.t.Errorf("%s: %q", what, wrong)
	}
}

// focusSeen gives the focus to all that takes it, as by the keyboard: an outline of two
// pixels or more is seen on it or on what it lies in, with a contrast of 3 to 1 to the ground
// (WCAG 2.2, 1.4.11 and 2.4.7).
func (p *person) focusSeen(where string) {
	p.t.Helper()
	p.none("the focus is not seen, "+where, `(async () => {
		const wrong = [], light = c => {
			const f = v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; // WCAG 2.2, relative luminance
			const [r, g, b] = c.match(/[\d.]+/g).map(Number);
			return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b);
		};
		const ground = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if (c !== "rgba(0, 0, 0, 0)") return c; } return "rgb(255, 255, 255)"; };
		const outline = e => { for (; e && e.id !== "sheet"; e = e.parentElement) { const s = getComputedStyle(e); if (s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2) return [s.outlineColor, ground(e.parentElement)]; } return null; };
		for (const e of document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex='0'], [contenteditable=true]")) {
			if (!e.checkVisibility() || e.disabled) continue;
			e.focus({focusVisible: true, preventScroll: true});
			if (!outline(e)) await new Promise(done => setTimeout(done, 60)); // the editor's comes a moment later
			const o = outline(e), name = e.id || e.tagName + " " + e.innerText.slice(0, 30);
			if (!o) { wrong.push(name + " has none"); continue; }
			const [a, b] = o.map(light), contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
			if (contrast < 3) wrong.push(name + " has " + contrast.toFixed(2) + " to 1");
		}
		return wrong;
	})()`)
}

// wordsApart looks for words of one drawing that lie over each other, reach out of it or are
// outlined by a rule that is meant for a line.
func (p *person) wordsApart(where string) {
	p.t.Helper()
	p.none("words of drawings, "+where, `(async () => {
		const wrong = [];
		for (const s of document.querySelectorAll("#sheet svg")) {
			const box = s.getBoundingClientRect(), name = s.closest("section").id;
			const words = [...s.querySelectorAll("text")].map(e => [e.textContent, e.getBoundingClientRect(), getComputedStyle(e).stroke !== "none"]).filter(([w, r]) => w.trim() && r.width > 0);
			words.forEach(([w, r, stroked], i) => {
				if (stroked) wrong.push(name + ": " + w + " is outlined");
				if (r.left < box.left - 1 || r.right > box.right + 1 || r.top < box.top - 1 || r.bottom > box.bottom + 1) wrong.push(name + ": " + w + " reaches out");
				for (const [v, q] of words.slice(i + 1)) {
					if (Math.min(r.right, q.right) - Math.max(r.left, q.left) > 1 && Math.min(r.bottom, q.bottom) - Math.max(r.top, q.top) > 2) wrong.push(name + ": " + w + " over " + v);
				}
			});
		}
		return wrong;
	})()`)
}

// labels looks for words of drawings that a phone shows smaller than 12 px, and for charts that
// must be scrolled sideways there: only unrolled maps, which are as wide as they are, the
// readings of printers, and columns too many to be numbered side by side may.
func (p *person) labels(where string) {
	p.t.Helper()
	p.none("labels of drawings, "+where, `(async () => {
		const wrong = [];
		for (const e of document.querySelectorAll("#sheet svg text")) {
			if (!e.checkVisibility() || !e.textContent.trim()) continue;
			const px = parseFloat(getComputedStyle(e).fontSize) * Math.hypot(e.getScreenCTM().a, e.getScreenCTM().b);
			if (px < 11.9) wrong.push(e.closest("section").id + ": " + e.textContent + " is " + px.toFixed(1) + " px");
		}
		for (const e of document.querySelectorAll("#sheet figure .wide[data-scrolls]")) {
			if (e.checkVisibility() && e.querySelector("svg:not(.sheet, .learnt)") && !["situations", "unrolled"].includes(e.closest("section").id)) wrong.push(e.closest("section").id + " scrolls sideways");
		}
		return wrong;
	})()`)
}

// pictured looks for drawings without a name, or without words or a table beside them.
func (p *person) pictured() {
	p.t.Helper()
	p.none("drawings", `(async () => [...document.querySelectorAll("#sheet svg")].filter(s => !s.ownerSVGElement).filter(s => {
		const beside = s.closest("li, .printer, section");
		const named = s.getAttribute("aria-label") || s.querySelector("title")?.textContent;
		return s.getAttribute("role") !== "img" || !named || !(beside.querySelector("table") || [...beside.querySelectorAll("p")].some(e => e.innerText.trim() !== ""));
	}).map(s => s.closest("section").id + " " + s.outerHTML.slice(0, 80)))()`)
}
