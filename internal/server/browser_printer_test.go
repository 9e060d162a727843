package server

import (
	"os"
	"path/filepath"
	"testing"

	"feint/internal/pipeline"

	"github.com/chromedp/chromedp"
)

// chosen picks a printer for the verdict.
func chosen(name string) chromedp.Action {
	return chromedp.Evaluate(`(e => { e.value = "`+name+`"; e.dispatchEvent(new Event("change")); return 0 })(document.getElementById("for-printer"))`, nil)
}

// TestPrinterPage: the printer that the verdict is for is chosen beside the verdict, is told
// in words, is there again when the page is loaded anew, and is preferred by the workshop
// where that is asked; a printer that goes away is not held on to.
func TestPrinterPage(t *testing.T) {
	p := sit(t, Config{})
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.reads("for-words", "until a printer is known")
	file := filepath.Join(p.b.dir, "printers.toml")
	if err := os.WriteFile(file, []byte(twoPrinters), 0o600); err != nil {
		t.Fatal(err)
	}
	p.until("offered", `document.querySelectorAll("#for-printer option").length === 3`)
	p.reads("printer", "fat (Bittern, black)")
	p.do("choose", chosen("fat"))
	p.reads("for-words", "from 0.00 to +0.09 mm a surface")
	p.until("proved for it", `!document.body.dataset.stale && document.querySelector("#yield-on")?.value === "fat"`)
	p.shot("printer-chosen")
	p.axe("a printer chosen")
	p.do("reload", chromedp.Reload())
	p.until("kept", `document.getElementById("for-printer")?.value === "fat" && !document.body.dataset.stale`)
	p.reads("for-words", "19 of 20 prints with Bittern, black")
	p.do("prefer", chromedp.Click("#prefer"))
	p.reads("for-words", "preferred from now on")
	p.reads("for-prefer", "preferred in this workshop")
	if m, err := pipeline.NamedPrinter(p.b.dir, ""); err != nil || m == nil || m.Name != "fat" {
		t.Errorf("the command line means %+v, %v", m, err)
	}
	var held string
	p.js(`sessionStorage.getItem("printer " + document.getElementById("where").innerText.split(" / ")[0]) ?? "nothing"`, &held)
	if held != "nothing" {
		t.Errorf("the tab holds on to %q beside what the workshop prefers", held)
	}
	p.size(390, 844, true)
	p.narrow()
	p.do("look", chromedp.ScrollIntoView("#for-printer"))
	p.shot("printer-phone")
	p.size(1440, 1100, false)
	p.do("none", chosen("none"))
	p.reads("for-words", "whatever the printer")
	p.until("proved for none", `!document.body.dataset.stale`)
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	p.reads("for-words", "until a printer is known")
	p.clean()
}
