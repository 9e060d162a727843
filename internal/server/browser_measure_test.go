package server

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"feint/internal/pipeline"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"
)

// measured is put into every new page: when its first picture with the box stood, and when
// its verdict did, ms since the navigation began. The picture is counted anew when the box
// is put up, and stands when the frame after it begins.
const measured = `(() => {
	const at = window.measured = {};
	let up = false;
	new MutationObserver(() => {
		const c = document.querySelector("#view canvas");
		if (c && c.dataset.drawn === "0") up = true;
		if (up && c && Number(c.dataset.drawn) > 0 && !at.picture) {
			at.picture = -1;
			requestAnimationFrame(() => { at.picture = performance.now(); });
		}
		if (document.body?.dataset.verdict && !at.verdict) at.verdict = performance.now();
	}).observe(document, { subtree: true, childList: true, attributes: true, attributeFilter: ["data-drawn", "data-verdict"] });
})()`

// TestMeasurePage is no test: it measures the page for docs/performance.md, on the lighthouse
// in a browser that draws by software. scripts/page-speed.sh runs it.
func TestMeasurePage(t *testing.T) {
	runs, err := strconv.Atoi(os.Getenv("FEINT_MEASURE"))
	if err != nil {
		t.Skip("measures, and waits for the clock: scripts/page-speed.sh runs it")
	}
	chromium(t)
	dir, o := flagship(t), pipeline.Options{Cache: sharedCache(t)}
	if _, err := pipeline.Prove(context.Background(), filepath.Join(dir, "lighthouse.star"), o); err != nil { // so that nobody waits for it at the page
		t.Fatal(err)
	}
	p := sit(t, Config{Folder: dir, Design: "lighthouse.star", Options: o})
	p.size(1440, 900, false)
	p.until("proved", `document.body.dataset.proved`)
	p.do("watch", chromedp.ActionFunc(func(ctx context.Context) error {
		_, err := cdpage.AddScriptToEvaluateOnNewDocument(measured).Do(ctx)
		return err
	}))
	var pictures, verdicts, cpu []float64
	for range runs {
		p.do("close", chromedp.Navigate("about:blank"))
		busy := p.busy()
		p.do("open", chromedp.Navigate(p.b.s.Origin()+"/"))
		p.until("a picture", `window.measured.picture > 0 && window.measured.verdict > 0`)
		cpu = append(cpu, 1000*(p.busy()-busy))
		var at struct{ Picture, Verdict float64 }
		p.js(`window.measured`, &at)
		pictures, verdicts = append(pictures, at.Picture), append(verdicts, at.Verdict)
	}
	report("first picture of the lighthouse, ms after the navigation began", pictures)
	report("ms of all processors of the browser until both stand", cpu)
	report("its verdict, kept from an earlier proof, ms", verdicts)
	p.until("at rest", `document.body.dataset.proved`)
	p.ready()
	var corner struct{ X, Y float64 }
	p.js(`(r => ({x: r.x + 12, y: r.y + r.height - 12}))(document.querySelector("#view canvas").getBoundingClientRect())`, &corner)
	for _, cut := range []bool{true, false} {
		p.js(fmt.Sprintf(`(e => { if (e.checked !== %v) e.click(); return 0 })(document.getElementById("cut-on"))`, cut), new(int))
		what := map[bool]string{true: "cut open", false: "whole"}[cut]
		p.measureSlide("a part drawn by its slider, the box "+what, runs)
		p.measureTurn("the eye turned, the box "+what, runs, corner.X, corner.Y)
	}
}

// pictures is how many pictures are measured in a run.
const pictures = 24

// measureSlide draws the part in hand by its slider, a step whenever the picture of the last
// one stands, and reports frames a second and the CPU time of all the browser's processes
// by frame: the same drawing as when it is dragged in the picture.
func (p *person) measureSlide(what string, runs int) {
	p.t.Helper()
	var rate, cpu []float64
	step := func(share float64) float64 {
		p.js(fmt.Sprintf(`(e => { e.value = String(Number(e.min) + %g * (Number(e.max) - Number(e.min))); e.dispatchEvent(new Event("input", {bubbles: true})); return 0 })(document.querySelector("#hand .travel input[type=range]"))`, share), new(int))
		return p.frames(1)
	}
	for range runs {
		_ = step(0.02) // what stands still is drawn
		busy, begin, n := p.busy(), time.Now(), 0.0
		for i := range pictures {
			n += step(0.03 + 0.004*float64(i%8))
		}
		rate, cpu = append(rate, n/time.Since(begin).Seconds()), append(cpu, 1000*(p.busy()-busy)/n)
	}
	report("frames a second, "+what, rate)
	report("ms of all processors a frame, "+what, cpu)
}

// measureTurn turns the eye by the mouse, a step whenever the picture of the last one stands.
func (p *person) measureTurn(what string, runs int, x, y float64) {
	p.t.Helper()
	var rate, cpu []float64
	for range runs {
		p.mouse(input.MouseMoved, x, y)
		p.mouse(input.MousePressed, x, y)
		busy, begin, n := p.busy(), time.Now(), 0.0
		for i := range pictures {
			p.mouse(input.MouseMoved, x+5*float64(1+i%7), y)
			n += p.frames(1)
		}
		rate, cpu = append(rate, n/time.Since(begin).Seconds()), append(cpu, 1000*(p.busy()-busy)/n)
		p.mouse(input.MouseReleased, x, y)
	}
	report("frames a second, "+what, rate)
	report("ms of all processors a frame, "+what, cpu)
}

// frames waits for so many more pictures and tells how many came.
func (p *person) frames(most int) (n float64) {
	p.t.Helper()
	p.await(fmt.Sprintf(`new Promise(done => {
		const drawn = () => Number(document.querySelector("#view canvas").dataset.drawn), had = drawn();
		let left = 60;
		const look = () => drawn() - had >= %d || --left === 0 ? done(drawn() - had) : requestAnimationFrame(look);
		look();
	})`, most), &n)
	return max(1, n)
}

// busy is the processors' time that the browser has taken, in all its processes, s.
func (p *person) busy() (s float64) {
	p.t.Helper()
	p.do("processes", chromedp.ActionFunc(func(ctx context.Context) error {
		all, err := systeminfo.GetProcessInfo().Do(cdp.WithExecutor(ctx, chromedp.FromContext(ctx).Browser))
		for _, k := range all {
			s += k.CPUTime
		}
		return err
	}))
	return s
}

// report prints the median of values with the least and the greatest, and the load.
func report(what string, vs []float64) {
	slices.Sort(vs)
	load, _ := os.ReadFile("/proc/loadavg")
	fmt.Printf("%-75s %8.1f  (%.1f to %.1f, %d runs, load %s)\n", what, vs[len(vs)/2], vs[0], vs[len(vs)-1], len(vs), strings.Join(strings.Fields(string(load))[:1], ""))
}
