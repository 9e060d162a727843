package server

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"feint/internal/cache"

	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// set moves the first param's slider.
func (p *person) set(v string) {
	p.t.Helper()
	p.js(`(e => { e.value = `+v+`; e.dispatchEvent(new Event("input", {bubbles: true})); return 0 })(document.getElementById("param-0"))`, new(int))
}

// typeAtEnd types at the end of the design file.
func (p *person) typeAtEnd(words string) {
	p.t.Helper()
	p.do("type", chromedp.ScrollIntoView("#editor"), chromedp.Evaluate(`document.querySelector(".cm-content").focus(); 0`, nil),
		chromedp.KeyEvent(kb.End, chromedp.KeyModifiers(2)), chromedp.KeyEvent(words))
	p.until("typed", `document.querySelector(".cm-content").innerText.includes("`+words+`")`)
}

// TestBenchAlone is no test: it is the bench as a process of its own, to be killed.
func TestBenchAlone(t *testing.T) {
	folder := os.Getenv("FEINT_BENCH_ALONE")
	if folder == "" {
		t.Skip("run by TestKilled, as the process that is killed")
	}
	store, err := cache.Open(filepath.Join(folder, "..", "cache"), 0)
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(Config{Folder: folder, State: filepath.Join(folder, "..", "state"), Options: optionsWith(store), Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stdout.WriteString(s.Address() + "\n"); err != nil {
		t.Fatal(err)
	}
	t.Log(s.Serve(context.Background()))
}

// alone starts the bench as a process of its own and gives its address.
func alone(t *testing.T, folder string) (*exec.Cmd, string) {
	t.Helper()
	c := exec.Command(os.Args[0], "-test.run", "^TestBenchAlone$", "-test.timeout", "5m")
	c.Env = append(os.Environ(), "FEINT_BENCH_ALONE="+folder)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill(); _ = c.Wait() })
	for sc := bufio.NewScanner(out); sc.Scan(); {
		if strings.HasPrefix(sc.Text(), "http://") {
			return c, sc.Text()
		}
	}
	t.Fatal("the bench did not open")
	return nil, ""
}

// TestKilled: the program is killed without a word and started again. What was set,
// typed, played and filled in is there; loaded anew, the page still has what was typed
// and set; then it is saved.
func TestKilled(t *testing.T) {
	chromium(t)
	folder := filepath.Join(t.TempDir(), "workshop")
	if err := errors.Join(os.Mkdir(folder, 0o755), os.WriteFile(filepath.Join(folder, "ferry.star"), []byte(ferry), 0o640)); err != nil {
		t.Fatal(err)
	}
	c, address := alone(t, folder)
	p := browse(t, address)
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.do("begin", chromedp.Click("#begin-log"))
	p.until("a form", `document.getElementById("log-min") !== null`)
	p.do("half a line", chromedp.SendKeys("#log-min", "95"))
	p.set("21")
	p.until("proved", `document.body.dataset.stale === "" && document.getElementById("param-0").value === "21"`)
	p.reads("verdict", "works")
	p.ready()
	p.do("play", chromedp.Focus("#view canvas"), chromedp.KeyEvent(kb.ArrowRight))
	p.reads("count", "1 move")
	p.typeAtEnd("# mine")
	p.quieten()
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	p.reads("state", "does not answer")
	p.typeAtEnd(" too")
	_, again := alone(t, folder)
	if strings.Split(again, "#")[0] != strings.Split(address, "#")[0] {
		t.Skipf("another program took the port meanwhile: %s, then %s", address, again)
	}
	p.until("back again", `document.body.dataset.lost === "" && document.body.dataset.stale === ""`)
	p.reads("verdict", "works")
	p.reads("count", "1 move")
	holds := func() {
		t.Helper()
		p.until("typed text", `document.querySelector(".cm-content").innerText.includes("# mine too")`)
		p.until("param", `document.getElementById("param-0")?.value === "21"`)
		p.reads("file-state", "not saved yet")
	}
	holds()
	p.until("half a line", `document.getElementById("log-line").value === "95 min"`)
	var asked atomic.Bool
	chromedp.ListenTarget(p.ctx, func(ev any) {
		if e, ok := ev.(*cdpage.EventJavascriptDialogOpening); ok && e.Type == cdpage.DialogTypeBeforeunload {
			asked.Store(true)
			go func() { _ = chromedp.Run(p.ctx, cdpage.HandleJavaScriptDialog(true)) }()
		}
	})
	p.do("reload", chromedp.Reload())
	if !asked.Load() {
		t.Error("the page went without asking")
	}
	p.reads("verdict", "works")
	holds()
	if text, _ := os.ReadFile(filepath.Join(folder, "ferry.star")); string(text) != ferry {
		t.Errorf("written without being asked:\n%s", text)
	}
	p.do("save", chromedp.Click("#save"))
	p.reads("file-state", "as it is on the disk")
	if text, _ := os.ReadFile(filepath.Join(folder, "ferry.star")); string(text) != ferry+"# mine too" {
		t.Errorf("saved:\n%s", text)
	}
}

// front brings a tab before the others: one that is behind gets no clicks.
func (p *person) front() {
	p.t.Helper()
	p.do("to the front", cdpage.BringToFront())
}

// TestTwoTabs: each tab has its own params and answer; a file saved in the one and a
// print noted in the one show in the other; neither writes over the other.
func TestTwoTabs(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	q := p.tab()
	q.size(1440, 1100, false)
	q.reads("verdict", "works")
	q.set("13")
	q.reads("verdict", "stuck")
	p.reads("verdict", "works")
	p.front()
	p.do("begin", chromedp.ScrollIntoView("#begin-log"), chromedp.Click("#begin-log"))
	p.until("a form", `document.getElementById("log-line") !== null`)
	q.until("the other has a form", `document.getElementById("log-line") !== null`)
	p.do("note", chromedp.SendKeys("#log-line", "95 min"), chromedp.Click("#log-send"))
	q.reads("workshop", "95 min")
	p.typeAtEnd("# one")
	p.do("save", chromedp.Click("#save"))
	p.reads("file-state", "as it is on the disk")
	q.until("the other reads it", `document.querySelector(".cm-content").innerText.includes("# one")`)
	q.reads("verdict", "stuck")
	p.typeAtEnd(" more")
	q.front()
	q.typeAtEnd(" less")
	q.do("save", chromedp.Click("#save"))
	p.reads("file-state", "changed elsewhere")
	if text, _ := os.ReadFile(filepath.Join(p.b.dir, "ferry.star")); !strings.HasSuffix(string(text), "# one less") {
		t.Errorf("the file holds\n%s", text)
	}
	p.clean()
	q.clean()
}

// TestStopPage: a long proof is stopped from the page, and nothing works on; it is
// begun again when asked.
func TestStopPage(t *testing.T) {
	p := sit(t, Config{Folder: "../../examples/lighthouse"})
	p.until("working", `document.getElementById("stop") !== null && document.getElementById("title").innerText.includes("ighthouse")`)
	p.shot("working")
	p.do("stop", chromedp.Click("#stop"))
	p.reads("state", "stopped")
	p.shot("stopped")
	idle(t)
	p.do("again", chromedp.Click("#resume"))
	p.until("working again", `document.getElementById("stop") !== null`)
	p.do("stop", chromedp.Click("#stop"))
	p.reads("state", "stopped")
	p.clean()
}

// TestParamLeavesNothingBehind: what a stage was drawn with is given back when a changed
// param brings another: after ten changes the graphics card holds what it held after one.
func TestParamLeavesNothingBehind(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 900, false)
	p.reads("verdict", "works")
	p.settled()
	held := func() (n int) {
		p.still()
		p.js(`Number(document.querySelector("#view canvas").dataset.held)`, &n)
		return n
	}
	var first int
	for i := range 10 {
		value := 20.5 + 0.5*float64(i%5)
		var before string
		p.js(`document.body.dataset.verdict`, &before)
		p.js(fmt.Sprintf(`(e => { e.value = %g; e.dispatchEvent(new Event("input", {bubbles: true})); return 0 })(document.getElementById("param-0"))`, value), new(int))
		p.until("a new verdict", fmt.Sprintf(`document.body.dataset.stale === "" && document.body.dataset.verdict !== %q`, before))
		if i == 0 {
			first = held()
		}
	}
	if last := held(); first < 8 || last > first {
		t.Errorf("geometries and textures held after one change: %d, after ten: %d", first, last)
	}
	p.clean()
}
