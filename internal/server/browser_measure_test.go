package server

import (
	"context"
	"fmt"
	"math"
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
	var pictures, verdicts []float64
	for range runs {
		p.do("open", chromedp.Navigate("about:blank"), chromedp.Navigate(p.b.s.Origin()+"/"))
		p.until("a picture", `window.measured.picture > 0 && window.measured.verdict > 0`)
		var at struct{ Picture, Verdict float64 }
		p.js(`window.measured`, &at)
		pictures, verdicts = append(pictures, at.Picture), append(verdicts, at.Verdict)
	}
	report("first picture of the lighthouse, ms after the navigation began", pictures)
	report("its verdict, kept from an earlier proof, ms", verdicts)
	p.until("at rest", `document.body.dataset.proved`)
	p.ready()
	all := p.b.s.runs.proofs.all()
	part := all[len(all)-1].Proof.Document.Solution[0].Part
	x, y, ok := p.visible(part)
	if !ok {
		t.Fatalf("%s is out of sight", part)
	}
	var view struct{ X, Y float64 }
	p.js(`(r => ({x: r.x + 12, y: r.y + r.height - 12}))(document.querySelector("#view canvas").getBoundingClientRect())`, &view)
	for _, cut := range []bool{true, false} {
		p.js(fmt.Sprintf(`(e => { if (e.checked !== %v) e.click(); return 0 })(document.getElementById("cut-on"))`, cut), new(int))
		what := map[bool]string{true: "cut open", false: "whole"}[cut]
		p.measureDrag(part+" drawn, the box "+what, runs, x, y)
		p.measureDrag("the eye turned, the box "+what, runs, view.X, view.Y)
	}
}

// measureDrag drags to and fro for a second a run and reports frames a second and the CPU
// time of all the browser's processes by frame.
func (p *person) measureDrag(what string, runs int, x, y float64) {
	p.t.Helper()
	var rate, cpu []float64
	drawn := func() (n float64) {
		p.js(`Number(document.querySelector("#view canvas").dataset.drawn)`, &n)
		return n
	}
	for range runs {
		p.mouse(input.MouseMoved, x, y)
		p.mouse(input.MousePressed, x, y)
		before, busy, begin := drawn(), p.busy(), time.Now()
		for time.Since(begin) < time.Second {
			p.mouse(input.MouseMoved, x+40*math.Sin(6*time.Since(begin).Seconds()), y)
		}
		frames, took := drawn()-before, time.Since(begin).Seconds()
		rate = append(rate, frames/took)
		cpu = append(cpu, 1000*(p.busy()-busy)/max(1, frames))
		p.mouse(input.MouseReleased, x, y)
		p.ready()
	}
	report("frames a second, "+what, rate)
	report("ms of all processors a frame, "+what, cpu)
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
