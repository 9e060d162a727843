package server

import (
	"strings"
	"testing"
)

// TestVerdictBeforeTheLimits: a changed param brings the verdict at the growths asked first,
// with what is older greyed and no finding told that hangs on where it binds, and then the
// fit window. What the page shows at the first is noted as soon as it is written.
func TestVerdictBeforeTheLimits(t *testing.T) {
	p := sit(t, Config{})
	p.size(1280, 900, false)
	p.settled()
	p.until("drawn", `document.body.dataset.pictures === ""`)
	p.js(`(() => {
		const look = () => {
			if (window.asked || !document.getElementById("fit-asked")) return;
			window.asked = {
				grey: getComputedStyle(document.querySelector("#fit-figure > *")).filter.includes("grayscale") && document.body.dataset.limits === "old",
				findings: document.querySelectorAll("#findings .finding").length,
				stale: document.body.dataset.stale, verdict: document.getElementById("verdict").innerText, words: document.getElementById("fit-asked").innerText,
			};
		};
		new MutationObserver(look).observe(document, { subtree: true, childList: true });
		const e = document.getElementById("param-0");
		e.value = 20.5;
		e.dispatchEvent(new Event("input", {bubbles: true}));
		return 0;
	})()`, new(int))
	p.until("the verdict at the growths asked", `window.asked`)
	var at struct {
		Grey           bool
		Findings       int
		Stale          string
		Verdict, Words string
	}
	p.js(`window.asked`, &at)
	if !at.Grey || at.Findings > 0 || at.Stale != "" || !strings.Contains(strings.ToLower(at.Verdict), "works") || !strings.Contains(at.Words, "as asked") {
		t.Errorf("at the growths asked the page shows: %+v", at)
	}
	p.until("where it binds", `document.getElementById("fit-asked") === null && document.body.dataset.limits === ""`)
	p.until("all of it, drawn anew", `document.body.dataset.proved === document.body.dataset.verdict && document.body.dataset.pictures === ""`)
	p.js(`!getComputedStyle(document.querySelector("#fit-figure > *")).filter.includes("grayscale")`, &at.Grey)
	if !at.Grey {
		t.Error("the new fit window is greyed")
	}
	p.clean()
}
