package design

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
)

func TestReferenceIsUpToDate(t *testing.T) {
	page, err := os.ReadFile("../../docs/language.md")
	if err != nil {
		t.Fatal(err)
	}
	if string(page) != Reference() {
		t.Error("docs/language.md is not what the words say of themselves; run go generate ./internal/design")
	}
}

// TestExamplesOfTheReference runs every example that the reference shows.
func TestExamplesOfTheReference(t *testing.T) {
	const before = `
ring = part("ring", solid = block(1, 1, 1), travels = [turn(z, marks = {"gate": 40})])
lid = part("lid", solid = block(1, 1, 1), travels = [slide(z, 0, 40, name = "lift")])
pin = part("pin", solid = block(1, 1, 1))
`
	for _, w := range vocabulary() {
		text := before
		if !strings.HasPrefix(w.example, "rod = ") {
			text += "rod = part(\"rod\", solid = block(1, 1, 1), travels = [slide(z, 0, 40)])\n"
		}
		text += w.example + "\n"
		loadText(t, w.name, text)
	}
}

// TestProgramsOfTheIntroduction runs the programs at the head of the reference.
func TestProgramsOfTheIntroduction(t *testing.T) {
	programs := regexp.MustCompile("(?s)```python\n(.*?)```").FindAllStringSubmatch(Reference(), -1)
	if len(programs) < 2 {
		t.Fatalf("%d programs", len(programs))
	}
	for _, p := range programs {
		loadText(t, "introduction", p[1])
	}
}

// TestMistakesOfTheIntroduction holds the messages shown in the introduction to
// what is really printed.
func TestMistakesOfTheIntroduction(t *testing.T) {
	_, err := Load("hive.star", Options{FS: fstest.MapFS{"hive.star": {Data: []byte(`





hive = part("hive", solid = block(1, 1, 1), frame = True)



lid  = part("lid", solid = block(1, 1, 1), travels = [slide(z, 20, 0, name = "lift")])

lod = part("lod", solid = block(1, 1, 1), travels = [slide(z, 0, 20, name = "lift")])
goal("lid off", {lod.lfit: (6, None)})
`)}}})
	if err == nil {
		t.Fatal("no mistake found")
	}
	for _, line := range strings.Split(err.Error(), "\n") {
		_, message, _ := strings.Cut(line, ": ")
		message = strings.ReplaceAll(message, "lod", "lid")
		if !strings.Contains(Reference(), message) {
			t.Errorf("the introduction does not show %q", message)
		}
	}
}

// loadText loads a design that is made whole where it is not.
func loadText(t *testing.T, what, text string) {
	t.Helper()
	o := Options{FS: fstest.MapFS{
		"d.star":  {Data: []byte(text + rest(text))},
		"lid.stl": {Data: []byte("solid\nendsolid\n")},
	}}
	if _, err := Load("d.star", o); err != nil {
		t.Errorf("%s: %v", what, err)
	}
}

func TestEveryArgumentIsDocumented(t *testing.T) {
	for _, w := range vocabulary() {
		if w.doc == "" || w.gives == "" || w.example == "" || w.group == "" || w.run == nil {
			t.Errorf("%s lacks documentation", w.name)
		}
		for _, a := range w.args {
			if a.doc == "" {
				t.Errorf("%s: %s lacks documentation", w.name, a.name)
			}
		}
	}
}
