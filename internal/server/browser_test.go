package server

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// shots is where pictures of the page are left to be looked at; git ignores it.
const shots = "../../_tmp/shots"

// person is somebody at a browser with the bench open.
type person struct {
	t   *testing.T
	b   *bench
	ctx context.Context

	mu       sync.Mutex
	mistakes []string // what the browser's console reports
	quiet    bool     // mistakes are expected: the program is shut

	moved float64 // by how much measured params have been moved
}

// chromium finds the browser, or skips the test.
func chromium(t *testing.T) string {
	t.Helper()
	if os.Getenv("FEINT_BROWSER") == "" {
		t.Skip("drives a browser: scripts/browser.sh sets it up and runs it")
	}
	if s, err := openPage(); err != nil || !s.built {
		t.Skip("the page is not built: run make page (it needs Node.js with npm)")
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	t.Skip("there is no Chromium: scripts/web-tools.sh installs Debian's")
	return ""
}

// sit opens the bench in a real browser, as feint bench does.
func sit(t *testing.T, cfg Config, flags ...chromedp.ExecAllocatorOption) *person {
	t.Helper()
	chromium(t)
	b := openBench(t, cfg)
	p := browse(t, b.s.Address(), flags...)
	p.b = b
	return p
}

// browse opens a browser at an address.
func browse(t *testing.T, address string, flags ...chromedp.ExecAllocatorOption) *person {
	t.Helper()
	exe := chromium(t)
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(exe), chromedp.NoSandbox,
		chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.WindowSize(1440, 900), chromedp.WSURLReadTimeout(90*time.Second))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), append(opts, flags...)...)
	ctx, cancel := chromedp.NewContext(alloc)
	ctx, late := context.WithTimeout(ctx, 8*time.Minute)
	t.Cleanup(func() { late(); cancel(); stop() })
	p := &person{t: t, ctx: ctx}
	chromedp.ListenTarget(ctx, p.hear)
	p.do("open", log.Enable(), runtime.Enable(), chromedp.Navigate(address))
	return p
}

// tab opens another tab of the same browser at the bench.
func (p *person) tab() *person {
	p.t.Helper()
	ctx, cancel := chromedp.NewContext(p.ctx)
	p.t.Cleanup(cancel)
	q := &person{t: p.t, b: p.b, ctx: ctx}
	chromedp.ListenTarget(ctx, q.hear)
	q.do("open", log.Enable(), runtime.Enable(), chromedp.Navigate(p.b.s.Origin()+"/"))
	return q
}

// quieten lets the console report what it will: the program is shut, or refuses.
func (p *person) quieten() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.quiet = true
}

// hear notes what the console reports.
func (p *person) hear(ev any) {
	words := ""
	switch e := ev.(type) {
	case *log.EventEntryAdded:
		if e.Entry.Level == log.LevelError || e.Entry.Level == log.LevelWarning && e.Entry.Source == log.SourceSecurity {
			words = e.Entry.Text + " " + e.Entry.URL
		}
	case *runtime.EventExceptionThrown:
		words = e.ExceptionDetails.Error()
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.APITypeError {
			for _, a := range e.Args {
				words += string(a.Value) + a.Description + " "
			}
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if words != "" && !p.quiet {
		p.mistakes = append(p.mistakes, words)
	}
}

func (p *person) do(what string, as ...chromedp.Action) {
	p.t.Helper()
	if err := chromedp.Run(p.ctx, as...); err != nil {
		p.shot("failed")
		p.t.Fatalf("%s: %v; the console: %v", what, err, p.mistakes)
	}
}

// js evaluates an expression of the page into out.
func (p *person) js(expr string, out any) {
	p.t.Helper()
	p.do(expr, chromedp.Evaluate(expr, out))
}

// await evaluates an expression of the page that takes its time.
func (p *person) await(expr string, out any) {
	p.t.Helper()
	p.do(expr, chromedp.Evaluate(expr, out, func(e *runtime.EvaluateParams) *runtime.EvaluateParams { return e.WithAwaitPromise(true) }))
}

// until waits until an expression of the page holds.
func (p *person) until(what, expr string) {
	p.t.Helper()
	for begin := time.Now(); time.Since(begin) < 90*time.Second; time.Sleep(60 * time.Millisecond) {
		var ok bool
		if err := chromedp.Run(p.ctx, chromedp.Evaluate("!!("+expr+")", &ok)); err == nil && ok {
			return
		}
	}
	var sheet string
	_ = chromedp.Run(p.ctx, chromedp.Evaluate("document.body.innerText.slice(0,1500)", &sheet))
	p.shot("failed")
	p.t.Fatalf("never: %s; the console: %v; the page:\n%s", what, p.mistakes, sheet)
}

// reads waits until an element holds some words.
func (p *person) reads(id, words string) {
	p.t.Helper()
	w, _ := json.Marshal(words)
	p.until(id+" reads "+words, fmt.Sprintf("document.getElementById(%q)?.innerText.toLowerCase().includes(%s.toLowerCase())", id, w))
}

// settled waits until the proof is whole, its pictures are there and nothing on the page
// shifts any more: a click goes to a place, and what stands there must stay.
func (p *person) settled() {
	p.t.Helper()
	p.until("the whole proof", `document.body.dataset.proved && document.body.dataset.stale === "" && document.body.dataset.pictures === "" && document.querySelectorAll("#board svg image").length > 0`)
	p.resting("#board")
}

// resting waits until an element has stood at one place of the page for three looks, an
// eighth of a second apart.
func (p *person) resting(sel string) {
	p.t.Helper()
	p.await(fmt.Sprintf(`new Promise(done => {
		let last = "", same = 0, left = 400;
		const look = () => {
			const r = document.querySelector(%q)?.getBoundingClientRect();
			const now = r ? [r.x, r.y + scrollY, r.width, r.height, document.body.scrollHeight].join() : "";
			same = now !== "" && now === last ? same + 1 : 0;
			last = now;
			if (same >= 3 || --left === 0) done(left); else setTimeout(look, 125);
		};
		look();
	})`, sel), new(int))
}

// click clicks on an element once it stands still.
func (p *person) click(sel string) {
	p.t.Helper()
	p.until(sel, fmt.Sprintf(`(e => e && !e.disabled)(document.querySelector(%q))`, sel))
	p.do("scroll", chromedp.ScrollIntoView(sel))
	p.resting(sel)
	p.do("click "+sel, chromedp.Click(sel))
}

// shot keeps a picture of the window.
func (p *person) shot(name string) {
	var png []byte
	if chromedp.Run(p.ctx, chromedp.CaptureScreenshot(&png)) != nil || os.MkdirAll(shots, 0o755) != nil {
		return
	}
	_ = os.WriteFile(filepath.Join(shots, name+".png"), png, 0o644)
}

// clean fails if the console reported anything.
func (p *person) clean() {
	p.t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, m := range p.mistakes {
		p.t.Errorf("the console: %s", m)
	}
}

// axe checks the page against WCAG 2.2 A and AA with axe-core, which is not ours.
func (p *person) axe(where string) {
	p.t.Helper()
	src, err := os.ReadFile("../../web/node_modules/axe-core/axe.min.js")
	if err != nil {
		p.t.Skip("axe-core is not there: run npm ci in web")
	}
	var raw string
	p.do("axe", chromedp.Evaluate(string(src)+";0", nil), chromedp.Evaluate(
		`axe.run(document, {runOnly: ["wcag2a","wcag2aa","wcag21a","wcag21aa","wcag22aa"]}).then(r => JSON.stringify(r.violations.map(v => ({id: v.id, help: v.help, nodes: v.nodes.slice(0,4).map(n => n.html.slice(0,160) + " " + n.failureSummary)}))))`,
		&raw, func(e *runtime.EvaluateParams) *runtime.EvaluateParams { return e.WithAwaitPromise(true) }))
	if raw != "[]" {
		p.t.Errorf("axe-core, %s: %s", where, strings.ReplaceAll(raw, `\n`, " "))
	}
}

// drag presses at one place, moves in steps and lets go.
func (p *person) drag(x, y, dx, dy float64) {
	p.t.Helper()
	mouse := func(kind input.MouseType, x, y float64) chromedp.Action {
		return chromedp.ActionFunc(func(ctx context.Context) error {
			e := input.DispatchMouseEvent(kind, x, y).WithButton(input.Left).WithClickCount(1)
			if kind == input.MouseMoved {
				e = e.WithButtons(1)
			}
			return e.Do(ctx)
		})
	}
	as := []chromedp.Action{mouse(input.MousePressed, x, y)}
	for i := 1; i <= 12; i++ {
		f := float64(i) / 12
		as = append(as, mouse(input.MouseMoved, x+f*dx, y+f*dy), chromedp.Sleep(20*time.Millisecond))
	}
	p.do("drag", append(as, mouse(input.MouseReleased, x+dx, y+dy))...)
}

// size sets the window.
func (p *person) size(w, h int64, dark bool) {
	p.t.Helper()
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	p.do("size", emulation.SetDeviceMetricsOverride(w, h, 1, false),
		emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}), chromedp.Sleep(300*time.Millisecond))
}

// narrow fails if something reaches beyond a phone's window.
func (p *person) narrow() {
	p.t.Helper()
	var wide string
	p.js(`[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > 391 && !e.closest(".wide, #editor, svg, .hush")).map(e => e.tagName + "#" + e.id + "." + e.className + " " + e.getBoundingClientRect().right).slice(0, 8).join("; ")`, &wide)
	if wide != "" {
		p.t.Errorf("wider than the window: %s", wide)
	}
	var beyond int
	p.js(`document.documentElement.scrollWidth - innerWidth`, &beyond)
	if beyond > 0 {
		p.t.Errorf("the page scrolls sideways by %d pixels", beyond)
	}
}

// TestSee: the page opens, and box, verdict and first move are there.
func TestSee(t *testing.T) {
	p := sit(t, Config{})
	begin := time.Now()
	p.until("a picture", `Number(document.querySelector("#view canvas")?.dataset.drawn) > 0 && document.getElementById("title").innerText !== "Opening the bench"`)
	t.Logf("first picture %.2f s after the address was opened", time.Since(begin).Seconds())
	p.reads("verdict", "works")
	p.reads("first-move", "gate")
	p.until("pictures", `document.querySelectorAll("#board svg image").length === 2`)
	var hash string
	p.js("location.href", &hash)
	if strings.Contains(hash, p.b.s.secret) {
		t.Error("the secret stays in the address")
	}
	p.shot("see")
	p.axe("light")
	p.size(1440, 900, true)
	p.shot("dark")
	p.axe("dark")
	p.size(390, 844, false)
	p.narrow()
	p.shot("phone")
	p.axe("phone")
	var png []byte
	p.size(1440, 900, false)
	p.do("whole sheet", chromedp.FullScreenshot(&png, 100))
	_ = os.WriteFile(filepath.Join(shots, "whole.png"), png, 0o644)
	p.clean()
}
