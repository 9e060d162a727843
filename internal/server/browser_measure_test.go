package server

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"feint/internal/pipeline"

	"github.com/chromedp/cdproto/cdp"
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
	p.prefer()
	p.size(1280, 720, false)
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
	for _, cut := range []bool{true, false} {
		p.js(fmt.Sprintf(`(e => { if (e.checked !== %v) e.click(); return 0 })(document.getElementById("cut-on"))`, cut), new(int))
		what := map[bool]string{true: "cut open", false: "whole"}[cut]
		p.measureFrames("a part drawn by its slider, the box "+what, slide, runs)
		p.measureFrames("the eye turned, the box "+what, turn, runs)
	}
}

// slide draws the part in hand by its slider, a step a frame; turn turns the eye by the mouse:
// both the same drawing as by a hand in the picture.
const (
	slide = `i => { const e = document.querySelector("#hand .travel input[type=range]"), lo = Number(e.min), hi = Number(e.max);
		e.value = String(lo + (hi - lo) * (0.03 + 0.004 * (i % 50))); e.dispatchEvent(new Event("input", {bubbles: true})); }`
	turn = `i => { const c = document.querySelector("#view canvas"), r = c.getBoundingClientRect();
		c.setPointerCapture = c.releasePointerCapture = () => {};
		const tell = (kind, by) => c.dispatchEvent(new PointerEvent(kind, {clientX: r.x + 12 + by, clientY: r.bottom - 12, buttons: 1, pointerId: 1, isPrimary: true, pointerType: "mouse", bubbles: true, cancelable: true}));
		if (i === 0) tell("pointerdown", 0);
		tell("pointermove", 3 * (i % 100));
		if (i === -1) tell("pointerup", 0); }`
)

// measureFrames does a step at every frame that the browser offers, for three seconds after
// a first one, and reports the pictures a second and the CPU time of all the browser's
// processes by picture.
func (p *person) measureFrames(what, step string, runs int) {
	p.t.Helper()
	var rate, cpu []float64
	for range runs {
		var busy float64
		run := func(ms int) (n float64) {
			p.await(fmt.Sprintf(`new Promise(done => {
				const step = %s, drawn = () => Number(document.querySelector("#view canvas").dataset.drawn), had = drawn(), began = performance.now();
				let i = 0;
				const go = () => { const past = performance.now() - began; step(past > %d ? -1 : i++); past > %d ? done((drawn() - had) / past * 1000) : requestAnimationFrame(go); };
				go();
			})`, step, ms, ms), &n)
			return n
		}
		run(1000)
		busy = p.busy()
		r := run(3000)
		rate, cpu = append(rate, r), append(cpu, 1000*(p.busy()-busy)/max(1, 3*r))
	}
	report("frames a second, "+what, rate)
	report("ms of all processors a frame, "+what, cpu)
}

// prefer gives the browser's threads the processors before other work, for as long as it
// runs: it takes back itself what its start was given. Where that is not allowed nothing is done.
func (p *person) prefer() {
	p.t.Helper()
	go func() {
		for p.ctx.Err() == nil {
			_ = chromedp.Run(p.ctx, chromedp.ActionFunc(func(ctx context.Context) error {
				all, err := systeminfo.GetProcessInfo().Do(cdp.WithExecutor(ctx, chromedp.FromContext(ctx).Browser))
				for _, k := range all {
					_ = exec.CommandContext(ctx, "chrt", "-a", "-r", "-p", "50", strconv.FormatInt(k.ID, 10)).Run()
				}
				return err
			}))
			time.Sleep(50 * time.Millisecond)
		}
	}()
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
