package design

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"
)

// TestEveryArgumentIsRead gives every argument of every word a value of a kind
// that none takes: each must be refused, which shows that each is looked at.
func TestEveryArgumentIsRead(t *testing.T) {
	const before = "s = block(1, 1, 1)\no = disc(d = 3)\ndef odd(): pass\n"
	self := map[string]string{"": "", "solid": "s.", "outline": "o."}
	// what else must be there before the argument is looked at
	with := map[string]string{
		"groove.d": `on = "shaft"`, "groove.r": `on = "shaft"`, "line.d": `on = "shaft"`, "line.r": `on = "shaft"`,
		"lettering.d": `on = "bore"`, "lettering.r": `on = "bore"`,
		"mesh.object": `file = "a.3mf"`, "mesh.scale": `file = "a.3mf"`,
		"turn.lo": "hi = 3", "turn.hi": "lo = 3", "outline.holes": "corners = [(0, 0), (1, 0), (0, 1)]",
		"route.runs": "start = (0, 0)", "part.density": `material = "oak"`,
	}
	for _, w := range vocabulary() {
		for _, a := range w.args {
			args := a.name + " = odd"
			if e := with[w.name+"."+a.name]; e != "" && w.on == "" {
				args += ", " + e
			}
			text := before + self[w.on] + w.name + "(" + args + ")\n"
			_, err := Load("d.star", Options{FS: fstest.MapFS{"d.star": {Data: []byte(text)}}})
			var ps *Problems
			found := false
			if errors.As(err, &ps) {
				for _, p := range ps.List {
					col := len(self[w.on]+w.name) + 2
					found = found || (p.Pos.Line == 4 && p.Pos.Col == col && strings.Contains(p.Message, "function odd"))
				}
			}
			if !found {
				t.Errorf("%s takes %s = a function without complaint: %v", w.name, a.name, err)
			}
		}
	}
}

// TestNearest compares edit distances with the examples of the literature.
func TestNearest(t *testing.T) {
	for _, c := range []struct {
		a, b string
		d    int
	}{
		// Wagner and Fischer's and Wikipedia's worked examples (common knowledge)
		{"kitten", "sitting", 3},
		{"saturday", "sunday", 3},
		{"", "abc", 3},
		{"gap", "gap", 0},
		// one swap of neighbours counts once (Damerau 1964)
		{"lfit", "lift", 1},
		{"ca", "ac", 1},
		// the restricted distance, in which no piece is edited twice
		{"ca", "abc", 3},
	} {
		if d := editDistance(c.a, c.b); d != c.d {
			t.Errorf("distance of %q and %q is %d, want %d", c.a, c.b, d, c.d)
		}
	}
	if n := nearest("cylnder", []string{"cone", "cylinder", "sphere"}); n != "cylinder" {
		t.Errorf("nearest is %q", n)
	}
	if n := nearest("w", []string{"c", "x"}); n != "" {
		t.Errorf("%q", n)
	}
	if n := nearest("slid", []string{"lid", "slide"}); n != "slide" {
		t.Errorf("%q", n)
	}
	if n := nearest("wholly other", []string{"cone", "cylinder"}); n != "" {
		t.Errorf("nearest is %q", n)
	}
}

func TestSettings(t *testing.T) {
	for _, c := range []struct {
		value, unit string
		want        float64
		bad         bool
	}{
		{"0.3", "mm", 0.3, false},
		{"0.3mm", "mm", 0.3, false},
		{" 0.3 mm ", "mm", 0.3, false},
		{"3cm", "mm", 30, false},
		{"1in", "mm", 25.4, false}, // by definition of the inch, 1959
		{"12deg", "deg", 12, false},
		{"0.5turns", "deg", 180, false},
		{"12°", "deg", 12, false},
		{"300um", "", 0.3, false},
		{"-1e-3", "mm", -0.001, false},
		{"12deg", "mm", 0, true},
		{"x", "mm", 0, true},
		{"", "mm", 0, true},
		{"nan", "mm", 0, true},
		{"1e999", "mm", 0, true},
		{"3 furlongs", "mm", 0, true},
		{"5 pieces", "pieces", 5, false},
	} {
		got, err := parseValue(c.value, c.unit)
		if (err != nil) != c.bad || got-c.want > 1e-12 || c.want-got > 1e-12 {
			t.Errorf("%q for %q: %v, %v", c.value, c.unit, got, err)
		}
	}
	for _, s := range []string{"", "gap", "=3", "gap="} {
		if _, err := ParseSetting(s); err == nil {
			t.Errorf("%q is taken for a setting", s)
		}
	}
	s, err := ParseSetting("side gap = 0.3mm")
	if err != nil || s != (Setting{"side gap", "0.3mm"}) {
		t.Error(s, err)
	}
}
