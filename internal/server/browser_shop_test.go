package server

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestFilesPage: files are made one by one, cut open as the stage is; a plane that is
// none is answered; gauges are cut, and each says what to do with it.
func TestFilesPage(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "sleeve.star"), []byte(sleeve), 0o640); err != nil {
		t.Fatal(err)
	}
	p := sit(t, Config{Folder: dir})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.do("as on the stage", chromedp.ScrollIntoView("#files-form"), chromedp.Click("#files-stage"))
	p.until("a cut chosen", `document.getElementById("files-cut").value === "y" && !document.getElementById("files-parts").hidden`)
	p.do("with the rod", chromedp.Click("#files-part-0"), chromedp.Click("#files-make"))
	p.until("files", `document.querySelectorAll("#files-made tbody tr").length >= 8`)
	p.reads("files-made", "cutaway/rod.stl")
	var begin string
	p.js(`document.querySelector("#files-made tbody a").href`, &begin)
	if code, _, _, raw := p.b.fetch(begin[len(p.b.s.Origin()):]); code != 401 || len(raw) == 0 {
		t.Errorf("another browser is answered %d", code)
	}
	var head string
	p.await(fmt.Sprintf(`fetch(%q).then(r => r.arrayBuffer()).then(b => String.fromCharCode(...new Uint8Array(b).slice(0, 4)))`, begin), &head)
	if head != "PK\x03\x04" && head != "glTF" {
		t.Errorf("%s begins with %q", begin, head)
	}
	p.shot("files")
	p.do("fits", chromedp.ScrollIntoView("#gauge-form"), chromedp.Click("#fits-find"))
	p.reads("fits", "rod in hull")
	p.do("cut", chromedp.Click("#fit-1"), chromedp.Click("#gauges-cut"))
	p.reads("gauges-made", "readings.csv")
	p.do("look", chromedp.ScrollIntoView("#gauges-made"))
	p.shot("gauges")
	p.axe("files")
	for _, k := range [][2]string{{"#gauges-cut", "gauges-made"}, {"#files-make", "files-made"}, {"#fits-find", "fits"}} {
		p.b.s.deep <- struct{}{} // another question is being answered, so this one waits
		p.do("ask and stop", chromedp.Click(k[0]), chromedp.Click("#"+k[1]+"-stop"))
		p.reads(k[1], "stopped")
		<-p.b.s.deep
	}
	p.do("again", chromedp.Click("#fits-find"))
	p.reads("fits", "rod in hull")
	p.quieten() // the browser's console reports the refusal's status
	p.do("no plane", chromedp.SetValue("#files-cut", "plane"), chromedp.SetValue("#files-plane", "0 0 0 1"), chromedp.Click("#files-make"))
	p.reads("files-made", "write x=0")
	p.clean()
}

// begun opens a bench with a logbook and a printer.
func begun(t *testing.T) *person {
	p := sit(t, Config{})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.settled()
	p.click("#begin-log")
	p.until("a form", `document.getElementById("log-min") !== null`)
	p.do("printer", chromedp.Evaluate(`document.getElementById("add-form").closest("details").open = true`, nil),
		chromedp.SendKeys("#add-name", "Kestrel"), chromedp.SendKeys("#add-more", "bed_x=220, bed_y=220"))
	p.click("#add-send")
	p.reads("logged", "Kestrel")
	p.until("offered", `[...document.getElementById("log-printer").options].some(o => o.value === "Kestrel")`)
	return p
}

// TestWorkshopLater: a print is noted with a photo, put right later, its fault made a
// standing check, a revision kept with its question, and a deed taken back.
func TestWorkshopLater(t *testing.T) {
	p := begun(t)
	photo := filepath.Join(t.TempDir(), "gate.png")
	if err := os.WriteFile(photo, picture(t), 0o600); err != nil {
		t.Fatal(err)
	}
	p.do("fill", chromedp.SendKeys("#log-min", "95"), chromedp.SendKeys("#log-grams", "41"), chromedp.SetValue("#log-outcome", "binds"),
		chromedp.SendKeys("#log-place", "gate"), chromedp.SetValue("#log-printer", "Kestrel"),
		chromedp.Evaluate(`document.getElementById("log-printer").dispatchEvent(new Event("change"))`, nil), chromedp.SetUploadFiles("#log-photo", []string{photo}))
	p.until("a line", `document.getElementById("log-line").value === "95 min, 41 g, binds at gate, on Kestrel"`)
	p.click("#log-send")
	p.reads("logged", "the photo is kept")
	p.until("a small picture", `(i => i && i.complete && i.naturalWidth > 0)(document.querySelector("#log-tables img"))`)
	p.reads("log-tables", "works, 2 moves") // the proof of a printed revision is kept by itself

	p.click("#edit-trial-1")
	p.until("a record", `document.getElementById("field-minutes")?.value === "95"`)
	p.do("change", chromedp.SetValue("#field-minutes", "102"))
	p.click("#record-save")
	p.reads("log-tables", "102 min")
	p.click("#edit-trial-1")
	p.reads("record", "minutes 95")
	p.do("look", chromedp.ScrollIntoView("#record-form"))
	p.shot("put-right-later")
	p.axe("a record")
	p.click("#record-close")

	p.do("stand", chromedp.SendKeys("#stand-1", "bind by 0.03"))
	p.click(`[aria-label="Check always: fault 1"]`)
	p.reads("log-tables", "the fault would come back")
	p.reads("verdict", "an old fault would come back")
	p.js(`(e => { e.value = 13; e.dispatchEvent(new Event("input", {bubbles: true})); return 0 })(document.getElementById("param-0"))`, new(int))
	p.reads("verdict", "stuck")
	p.do("keep", chromedp.SendKeys("#keep-question", "does a nearer bollard hold?"))
	p.click("#keep-send")
	p.reads("log-tables", "does a nearer bollard hold?")
	p.do("look", chromedp.ScrollIntoView("#workshop"))
	p.shot("workshop")
	p.do("history", chromedp.Evaluate(`document.getElementById("log-history").open = true`, nil))
	p.reads("log-deeds", "minutes=102")
	p.click(`#log-deeds tbody tr:first-child button`)
	p.until("taken back", `!document.getElementById("log-tables").innerText.includes("does a nearer bollard hold?")`)
	p.axe("workshop")
	p.size(390, 844, false)
	p.narrow()
	p.do("look", chromedp.ScrollIntoView("#workshop"))
	p.shot("workshop-phone")
	p.clean()
}

// TestPrintersPage: a gauge is cut, what it shows is entered in the form that its places
// make, and the page tells what that teaches, as a picture and in numbers.
func TestPrintersPage(t *testing.T) {
	p := begun(t)
	p.do("only the ladder", chromedp.ScrollIntoView("#gauge-form"), chromedp.SetValue("#gauge-most", "0"), chromedp.Click("#gauges-cut"))
	p.reads("gauges-made", "plain ladder")
	p.do("enter", chromedp.Click(".enter-found"))
	p.until("rows", `document.querySelectorAll("#found-rows tr").length === 13`)
	// row 2 is the hole of 0.05, measured; 11 the peg, 12 the length, 13 the width
	p.js(`(() => { for (const [row, size] of [[2, "7.9"], [4, "8.0"], [11, "8.14"], [12, "58,61"], [13, "12.9"]]) {
		const n = document.querySelectorAll("#found-rows tr")[row - 1].querySelector("[id^=found-measured]"); n.value = size; }
		document.querySelectorAll("#found-rows tr")[4].querySelector("[id^=found-felt]").value = "tight"; return 0 })()`, new(int))
	p.do("on", chromedp.SetValue("#found-printer", "Kestrel"), chromedp.Click("#found-send"))
	p.reads("found-said", "6 readings are kept")
	p.until("a picture", `document.querySelector("#printers-known svg.learnt") !== null`)
	p.reads("printers-known", "growth in plane")
	p.reads("printers-known", "width may be a slip")
	p.do("look", chromedp.ScrollIntoView("svg.learnt"))
	p.shot("printers")
	p.axe("printers")
	p.size(1440, 1100, true)
	p.do("look", chromedp.ScrollIntoView("svg.learnt"))
	p.shot("printers-dark")
	p.axe("printers, dark")
	p.size(390, 844, true)
	p.narrow()
	p.do("look", chromedp.ScrollIntoView("svg.learnt"))
	p.shot("printers-phone")
	p.size(1440, 1100, false)
	p.do("learn", chromedp.ScrollIntoView("#learn-0"), chromedp.Click("#learn-0"))
	p.reads("learnt", "stands in printers.toml")
	p.until("on the fit window", `document.getElementById("fit").innerText.includes("Kestrel")`)
	p.clean()
}
