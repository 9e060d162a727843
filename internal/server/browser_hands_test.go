package server

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"feint/internal/verdict/wording"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// sitAt opens the bench in a browser with one of the examples on it.
func sitAt(t *testing.T, example string) *person {
	t.Helper()
	chromium(t)
	dir := t.TempDir()
	text, err := os.ReadFile(filepath.Join("../../examples", example, example+".star"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, example+".star"), text, 0o640); err != nil {
		t.Fatal(err)
	}
	return sit(t, Config{Folder: dir})
}

// press strikes a key and waits until the page has answered it.
func (p *person) press(key string, mod ...chromedp.KeyOption) {
	p.t.Helper()
	p.do("key", chromedp.KeyEvent(key, mod...), chromedp.Sleep(100*time.Millisecond))
	p.ready()
}

// pick takes a part in hand by the keyboard, with N.
func (p *person) pick(name string) {
	p.t.Helper()
	for range 12 {
		var now string
		p.js(`document.querySelector("input[name=part]:checked + label")?.innerText ?? ""`, &now)
		if now == name {
			p.ready()
			return
		}
		p.press("n")
	}
	p.t.Fatalf("%s does not come in hand", name)
}

// held waits until the picture shows the box held in an attitude.
func (p *person) held(up int, words string) {
	p.t.Helper()
	p.until("held "+words, fmt.Sprintf(`document.querySelector("#view canvas").dataset.up === "%d"`, up))
	p.reads("held", words)
}

// TestPlayHiveByKeys: the beehive is opened with the keyboard alone, by the eight moves
// that the proof tells (and TestPlayTheBeehive plays): pushed parts and falling ones
// move as they are told to, every move brings the goal one nearer, a detour is named,
// and a move taken back takes back what fell and what was pushed in it.
func TestPlayHiveByKeys(t *testing.T) {
	p := sitAt(t, "beehive")
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.ready()
	p.held(0, "it stands as drawn")
	p.reads("move-1", "held so that it stands as drawn")
	p.reads("move-3", "held so that its right side is up")
	p.reads("move-8", "held so that its front is up")
	p.do("focus", chromedp.Focus("#view canvas"))
	far := chromedp.KeyModifiers(8) // Shift: as far as it goes
	left := func(n string) {
		p.t.Helper()
		p.reads("left", n)
	}

	p.pick("queen") // the third bee holds her as long as the box stands
	p.press(kb.ArrowRight, far)
	p.reads("under", "stopped by third bee")
	p.press(kb.Backspace)
	p.reads("count", "0 moves")

	p.pick("smoker")
	p.press(kb.ArrowRight, far)
	p.reads("under", "sting is pushed")
	p.reads("count", "1 move")
	left("7 moves to the goal")
	p.press(kb.Backspace)
	p.reads("count", "0 moves")
	p.press(kb.ArrowRight, far)
	left("7 moves to the goal")

	p.press("3")
	p.held(2, "its right side is up")
	p.reads("under", "honey falls")
	left("6 moves to the goal")
	p.shot("hive-on-its-side")
	p.press("4") // over in one
	p.reads("under", "one turn does not lead there")
	p.press("5") // a detour
	p.held(4, "its back is up")
	left("leaves the meant way")
	p.press(kb.Backspace)
	p.held(2, "its right side is up")
	p.reads("count", "2 moves")
	left("6 moves to the goal from here, on the meant way")

	p.pick("plank")
	p.press(kb.ArrowRight, far)
	left("5 moves to the goal")
	p.press("2")
	p.held(1, "its bottom is up")
	p.reads("under", "third bee falls")
	p.pick("queen")
	p.press(kb.ArrowRight, far)
	p.reads("under", "drone is pushed")
	p.press(kb.ArrowLeft, far)
	left("3 moves to the goal")
	p.press("4")
	p.reads("under", "first bee falls")
	p.press("6")
	p.reads("under", "second bee falls")
	left("1 move to the goal")
	p.pick("roof")
	p.press(kb.ArrowRight, far)
	left("the goal is met. With 8 moves; no way has fewer.")
	p.shot("hive-opened")
	p.until("a picture of the box on its side", `document.querySelector("#move-3 svg")?.getAttribute("aria-label").includes("held so that its right side is up")`)
	p.axe("beehive opened")
	p.size(1440, 1100, true)
	p.shot("hive-dark")
	p.axe("beehive, dark")
	p.size(390, 844, false)
	p.do("look", chromedp.ScrollIntoView("#view"))
	p.narrow()
	p.shot("hive-phone")
	p.axe("beehive on a phone")
	p.do("look", chromedp.ScrollIntoView("#keys-help"))
	p.shot("hive-phone-hand")
	p.clean()
}

// TestPlayHiveByDrag: the smoker is drawn in with the pointer and takes the sting along;
// the box is turned with a button, and back; then the page plays on by itself, move by
// move to the goal, and along the whole way, for somebody whom motion disturbs.
func TestPlayHiveByDrag(t *testing.T) {
	p := sitAt(t, "beehive")
	p.size(1440, 1100, false)
	p.reads("verdict", "works")
	p.ready()
	p.do("whole", chromedp.Click("#cut-on"))
	x, y := p.grasp("smoker:")
	p.until("clearance named", `document.getElementById("under").innerText.includes("clear of")`)
	p.drag(x, y, 240, -160)
	p.reads("under", "sting is pushed")
	p.reads("count", "1 move")
	p.ready()
	if v := p.value(p.travel("smoker")); v != 11 {
		t.Errorf("the smoker stands at %g, it goes 11 mm in", v)
	}
	p.shot("hive-dragged")
	x, y = p.grasp("plank:")
	p.drag(x, y, -120, 80) // the honey holds it after half a millimetre
	p.reads("under", "stopped by honey")
	p.reads("count", "2 moves")
	p.do("take back", chromedp.Click("#take-back"))
	p.reads("count", "1 move")
	p.do("turn", chromedp.Click("#up-5"))
	p.held(5, "its front is up")
	p.reads("under", "second bee falls")
	p.reads("count", "2 moves")
	p.do("start", chromedp.Click("#again"))
	p.held(0, "it stands as drawn")
	p.reads("left", "the meant way has 8 moves")

	p.do("calm", emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}}))
	for i := range 8 {
		p.do("next", chromedp.Click("#next"))
		p.reads("count", wording.Count(i+1, "move")+" played")
		p.reads("left", map[bool]string{true: "the goal is met", false: wording.Count(7-i, "move") + " to the goal"}[i == 7])
	}
	p.do("start", chromedp.Click("#again"))
	p.held(0, "it stands as drawn")
	p.do("along", chromedp.Focus("#scrub"), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	p.held(2, "its right side is up")
	p.reads("under", "move 2: turn the box so that its right side is up, then honey falls")
	p.do("whole", chromedp.Click("#whole"))
	p.reads("under", "that is the goal: roof off")
	p.held(5, "its front is up")
	p.clean()
}

// travel finds a travel of a part that is in hand.
func (p *person) travel(part string) int {
	p.t.Helper()
	var id int
	p.js(fmt.Sprintf(`Number([...document.querySelectorAll("#travels label")].find(l => l.innerText.startsWith(%q))?.htmlFor.replace("travel-", "") ?? -1)`, part), &id)
	if id < 0 {
		p.t.Fatalf("no travel of %s is in hand", part)
	}
	return id
}
