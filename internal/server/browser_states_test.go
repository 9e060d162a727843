package server

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"feint/internal/design"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// workshopOf copies the files of an example into a workshop of its own.
func workshopOf(t *testing.T, name string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("../../examples", name))); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestOldAnswerGreyed: as soon as a param is moved all that the last proof said is greyed
// and said to be old, every section of it; what is stopped, or has mistakes, says that it
// is the old answer that is still to be read, and leads to the mistakes.
func TestOldAnswerGreyed(t *testing.T) {
	p := sit(t, Config{})
	p.size(1280, 720, false)
	p.settled()
	var bright []string
	p.js(`(e => {
		e.value = 21; e.dispatchEvent(new Event("input", {bubbles: true}));
		if (!getComputedStyle(document.getElementById("verdict"), "::before").content.includes("old answer")) return ["nothing says that the verdict is old"];
		const soft = getComputedStyle(document.querySelector(".soft")).color;
		return [...document.querySelectorAll("#sheet > section")].filter(s => !s.hidden && !["change", "workshop", "files"].includes(s.id) &&
			(getComputedStyle(s).color !== soft || !getComputedStyle(s).borderLeftStyle.includes("dotted"))).map(s => s.id);
	})(document.getElementById("param-0"))`, &bright)
	if len(bright) > 0 {
		t.Errorf("not greyed: %q", bright)
	}
	p.until("the new answer", `document.body.dataset.stale === "" && document.body.dataset.proved`)
	p.settled()
	p.typeAtEnd("x = part(")
	p.click("#save")
	p.reads("state", "the design has mistakes. what is greyed is the old answer")
	p.axe("mistakes")
	p.do("to the top", chromedp.Evaluate(`scrollTo(0, 0); document.getElementById("to-mistakes").focus(); 0`, nil), chromedp.KeyEvent(kb.Enter))
	p.until("the mistake in focus", `document.activeElement.closest("#mistakes") && /line \d/.test(document.activeElement.innerText)`)
	p.shot("mistakes")
	p.clean()
}

// TestEmptyWorkshop: in a folder without a design the page says what to do and offers
// nothing to be done to a box that is not there; a design that is put there opens by itself.
func TestEmptyWorkshop(t *testing.T) {
	dir := t.TempDir()
	p := sit(t, Config{Folder: dir})
	p.size(390, 844, true)
	p.reads("state", "no design")
	p.narrow()
	p.axe("empty")
	var offered []string
	p.js(`[...document.querySelectorAll("button, input, select, canvas")].filter(e => e.checkVisibility()).map(e => e.id || e.tagName)`, &offered)
	if slices.Sort(offered); !slices.Equal(offered, []string{"new-make", "new-name"}) {
		t.Errorf("without a box there is offered: %q", offered)
	}
	p.shot("empty")
	if err := os.WriteFile(filepath.Join(dir, "ferry.star"), []byte(ferry), 0o640); err != nil {
		t.Fatal(err)
	}
	p.reads("verdict", "works")
	p.until("the box", `document.querySelector("#view canvas").checkVisibility() && Number(document.querySelector("#view canvas").dataset.drawn) > 0`)
	p.clean()
}

// TestBegin: in an empty workshop a design is begun on the page with nothing but the
// keyboard; a name that will not do and one that is taken are told, with the field in
// focus; another design is begun beside it and opens, and both can be chosen.
func TestBegin(t *testing.T) {
	dir := t.TempDir()
	p := sit(t, Config{Folder: dir})
	p.size(1280, 720, false)
	p.reads("state", "no design")
	name := func(s string) {
		t.Helper()
		p.do("name", chromedp.Evaluate(`document.getElementById("new-name").value = ""; 0`, nil), chromedp.Focus("#new-name"), chromedp.KeyEvent(s), chromedp.KeyEvent(kb.Enter))
	}
	p.quieten() // the browser reports what is refused
	name("shepherd's hut")
	p.reads("new-trouble", "begin with a letter")
	p.until("the field in focus", `document.activeElement.id === "new-name"`)
	p.axe("a name that will not do")
	p.shot("begin")
	name("hut")
	p.reads("verdict", "works")
	p.reads("where", "hut.star")
	p.until("begun once", `document.getElementById("begin").hidden`)
	if got, err := os.ReadFile(filepath.Join(dir, "hut.star")); err != nil || string(got) != design.Template("hut")["hut.star"] {
		t.Errorf("%v: %s", err, got)
	}
	p.settled()
	p.click("#another > summary")
	name("hut")
	p.reads("new-trouble", "hut.star is in the folder already")
	name("barn")
	p.until("the other one", `document.getElementById("designs")?.value === "barn.star" && document.getElementById("designs").length === 2`)
	p.reads("title", "barn")
	p.until("its proof", `document.body.dataset.proved && document.body.dataset.stale === ""`)
}

// TestOpenedWhereItMoves: of every example the first picture is cut open where the
// storyboard is, so that the part of the first move is seen in it.
func TestOpenedWhereItMoves(t *testing.T) {
	for _, name := range []string{"latch-rod", "ferry", "beehive"} {
		t.Run(name, func(t *testing.T) {
			p := sit(t, Config{Folder: workshopOf(t, name), Design: name + ".star"})
			p.size(1280, 720, name == "ferry")
			p.until("a verdict and where it binds and leaks", `document.body.dataset.verdict && document.body.dataset.limits === ""`)
			p.ready()
			p.until("the box drawn", `Number(document.querySelector("#view canvas").dataset.drawn) > 0`)
			all := p.b.s.runs.proofs.All()
			first := all[len(all)-1].Proof.Document.Solution[0].Part
			if _, _, ok := p.visible(first); !ok {
				t.Errorf("%s, which moves first, is not in the first picture", first)
			}
			p.shot("first-" + name)
			p.clean()
		})
	}
}

// TestFindingOfStep: a finding about a step, which names no part, brings the stage to where
// the step is taken: of the ferry's step the gangway stands at 5.5 mm or more, as its design says.
func TestFindingOfStep(t *testing.T) {
	p := sit(t, Config{Folder: workshopOf(t, "ferry"), Design: "ferry.star"})
	p.size(1280, 720, false)
	p.settled()
	p.click(`[aria-label="Show me where: half-aligned"]`)
	p.reads("under", "shown, not played")
	p.do("focus", chromedp.Focus("#view canvas"))
	p.pick("gangway")
	if v := p.value(p.travel("gangway")); math.Abs(v) < 5.49 {
		t.Errorf("the gangway stands at %g", v)
	}
	// a finding about a part lets it stand out, where the way passes what it speaks of
	p.click(`[aria-label="Show me where: unnamed-step"]`)
	p.reads("under", "it is about line. shown, not played")
	p.until("the line alone is not faint", `document.querySelector("#view canvas").dataset.only === "line"`)
	p.shot("finding-part")
	p.ready()
	if v := p.value(p.travel("line")); math.Abs(v-5.7) > 0.06 {
		t.Errorf("the line stands at %g, every way brings it to 5.7 mm", v)
	}
	p.press("Tab")
	p.until("all as they are", `document.querySelector("#view canvas").dataset.only === ""`)
	p.clean()
}
