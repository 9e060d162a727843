package server

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestVerdictBeforeTheLimits: a changed param of the lighthouse brings the verdict at the
// growths asked first, with what is older greyed and no finding told that hangs on where it
// binds, and then the fit window.
func TestVerdictBeforeTheLimits(t *testing.T) {
	p := sit(t, Config{Folder: "../../examples/lighthouse", Design: "lighthouse.star"})
	p.size(1280, 900, false)
	p.until("proved", `document.body.dataset.proved && document.body.dataset.pictures === ""`)
	var before string
	p.js(`document.body.dataset.verdict`, &before)
	p.js(`(e => { e.value = 0.3; e.dispatchEvent(new Event("input", {bubbles: true})); return 0 })(document.getElementById("param-0"))`, new(int))
	p.until("the verdict at the growths asked", fmt.Sprintf(`document.body.dataset.stale === "" && document.body.dataset.verdict !== %q && document.getElementById("fit-asked") !== null`, before))
	var grey, findings bool
	p.js(`getComputedStyle(document.querySelector("#fit-figure > *")).filter.includes("grayscale") && document.body.dataset.limits === "old"`, &grey)
	p.js(`document.querySelector("#findings .finding") !== null`, &findings)
	if !grey || findings {
		t.Errorf("the old fit window is greyed: %t; findings are told: %t", grey, findings)
	}
	p.do("look", chromedp.ScrollIntoView("#fit"))
	p.shot("asked-before-limits")
	p.js(`scrollTo(0, 0); 0`, new(int))
	p.shot("asked-before-limits-top")
	p.until("where it binds", `document.getElementById("fit-asked") === null && document.body.dataset.limits === ""`)
	p.until("all of it, drawn anew", `document.body.dataset.proved === document.body.dataset.verdict && document.body.dataset.pictures === ""`)
	p.js(`!getComputedStyle(document.querySelector("#fit-figure > *")).filter.includes("grayscale")`, &grey)
	if !grey {
		t.Error("the new fit window is greyed")
	}
	p.clean()
}
