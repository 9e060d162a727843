package server

import (
	"bytes"
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

	"feint/internal/cache"

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
	dir, store := flagship(t), sharedCache(t)
	p := sit(t, Config{Folder: dir, Design: "lighthouse.star", Options: optionsWith(store)})
	p.prefer()
	p.size(1280, 720, false)
	p.settled()
	p.do("watch", chromedp.ActionFunc(func(ctx context.Context) error {
		_, err := cdpage.AddScriptToEvaluateOnNewDocument(measured).Do(ctx)
		return err
	}))
	p.measureOpening("proved before", runs, dir, func() *cache.Store { return store })
	p.do("back", chromedp.Navigate(p.b.s.Origin()+"/"))
	p.settled()
	p.measureChanges("slot", 1, "all of the last proof over", runs, p.settled)
	p.measureChanges("slot", 1, "the last proof's findings still under way", runs, func() {})
	p.measureChanges("side gap", 0.25, "all of the last proof over", runs, p.settled)
	p.settled()
	p.ready()
	for _, cut := range []bool{true, false} {
		p.js(fmt.Sprintf(`(e => { if (e.checked !== %v) e.click(); return 0 })(document.getElementById("cut-on"))`, cut), new(int))
		what := map[bool]string{true: "cut open", false: "whole"}[cut]
		p.measureFrames("a part drawn by its slider, the box "+what, slide, runs)
		p.measureFrames("the eye turned, the box "+what, turn, runs)
	}
	p.measureOpening("never proved", runs, dir, func() *cache.Store { return sharedCache(t) })
}

// measureOpening starts the program and opens its page as soon as it answers, and reports
// when the first picture and the verdict stand.
func (p *person) measureOpening(what string, runs int, dir string, store func() *cache.Store) {
	p.t.Helper()
	var pictures, verdicts, cpu []float64
	for range runs {
		p.do("close", chromedp.Navigate("about:blank"))
		b := openBench(p.t, Config{Folder: dir, Design: "lighthouse.star", Options: optionsWith(store())})
		since := map[int64]float64{}
		p.busy(since)
		p.do("open", chromedp.Navigate(b.s.Address()))
		p.until("a picture", `window.measured.picture > 0`)
		cpu = append(cpu, 1000*p.busy(since))
		p.until("a verdict", `window.measured.verdict > 0`)
		var at struct{ Picture, Verdict float64 }
		p.js(`window.measured`, &at)
		pictures, verdicts = append(pictures, at.Picture), append(verdicts, at.Verdict)
		b.close()
	}
	report(what+": first picture, ms after the navigation began", pictures)
	report(what+": verdict, ms", verdicts)
	report(what+": ms of all processors of the browser until the picture stood", cpu)
}

// measureChanges moves the slider of a param, each time to a place where it has not been,
// and reports when the new verdict is written and the frame with it begins.
func (p *person) measureChanges(param string, from float64, what string, runs int, before func()) {
	p.t.Helper()
	var took []float64
	for range runs {
		before()
		p.moved += 0.01
		var ms float64
		p.await(fmt.Sprintf(`new Promise(done => {
			const e = [...document.querySelectorAll("#params .param")].find(p => p.innerText.startsWith(%q)).querySelector("input[type=range]");
			const had = document.body.dataset.verdict, began = performance.now();
			const seen = new MutationObserver(() => {
				if (document.body.dataset.stale || document.body.dataset.verdict === had) return;
				seen.disconnect();
				requestAnimationFrame(() => done(performance.now() - began));
			});
			seen.observe(document.body, { attributes: true });
			e.value = %g;
			e.dispatchEvent(new Event("input", {bubbles: true}));
		})`, param, from+p.moved), &ms)
		took = append(took, ms)
	}
	report(param+" changed, "+what+": its verdict on the page, ms", took)
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
		since := map[int64]float64{}
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
		p.busy(since)
		r := run(3000)
		rate, cpu = append(rate, r), append(cpu, 1000*p.busy(since)/max(1, 3*r))
	}
	report("frames a second, "+what, rate)
	report("ms of all processors a frame, "+what, cpu)
}

// prefer gives the browser's threads the processors as the program has them, which is
// what both have on a machine that does nothing else: a browser takes back itself what its
// start was given, so its threads are told one by one for as long as it runs. Where that is
// not allowed nothing is done.
func (p *person) prefer() {
	p.t.Helper()
	own := strconv.Itoa(niceness())
	go func() {
		for p.ctx.Err() == nil {
			_ = chromedp.Run(p.ctx, chromedp.ActionFunc(func(ctx context.Context) error {
				all, err := systeminfo.GetProcessInfo().Do(cdp.WithExecutor(ctx, chromedp.FromContext(ctx).Browser))
				for _, k := range all {
					of := strconv.FormatInt(k.ID, 10)
					threads, _ := filepath.Glob(filepath.Join("/proc", of, "task", "*"))
					args := []string{"-n", own, "-p"}
					for _, t := range threads {
						args = append(args, filepath.Base(t))
					}
					_ = exec.CommandContext(ctx, "renice", args...).Run()
				}
				return err
			}))
			time.Sleep(50 * time.Millisecond)
		}
	}()
}

// niceness is the one of this process, 0 where the system does not tell.
func niceness() int {
	raw, _ := os.ReadFile("/proc/self/stat")
	fields := strings.Fields(string(raw[bytes.LastIndexByte(raw, ')')+1:]))
	if len(fields) < 17 {
		return 0
	}
	n, _ := strconv.Atoi(fields[16]) // proc(5): the 19th field, the third comes after the name
	return n
}

// busy is the processors' time that the browser has taken since a while ago, in all its
// processes, s; since holds what each had taken then, and is brought up to now.
func (p *person) busy(since map[int64]float64) (s float64) {
	p.t.Helper()
	p.do("processes", chromedp.ActionFunc(func(ctx context.Context) error {
		all, err := systeminfo.GetProcessInfo().Do(cdp.WithExecutor(ctx, chromedp.FromContext(ctx).Browser))
		for _, k := range all {
			s += k.CPUTime - since[k.ID]
			since[k.ID] = k.CPUTime
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
