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
	p.mu.Lock()
	p.quiet = true // the browser's console reports the refusal's status
	p.mu.Unlock()
	p.do("no plane", chromedp.SetValue("#files-cut", "plane"), chromedp.SetValue("#files-plane", "0 0 0 1"), chromedp.Click("#files-make"))
	p.reads("files-made", "write x=0")
	p.clean()
}
