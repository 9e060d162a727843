package caution

import (
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/magnet"
	"feint/internal/geom"
)

// all gives a caution of every kind and shade.
func all() []Caution {
	var out []Caution
	for _, c := range []magnet.Cylinder{
		{D: 6, L: 3, Br: forces.Exact(1.2)},
		{D: 3, L: 1, Br: forces.Exact(1.2)},
		{D: 3, L: 1, Br: forces.Interval{Lo: 1.2, Hi: 1.3}},
		{D: 40, L: 5, Br: forces.Exact(1.2)},
	} {
		out = append(out, Magnet("the latch magnet", &c))
	}
	p, _ := Piece("the key", geom.Vec{X: 12, Y: 9, Z: 30})
	return append(out, p, Fragments("the pin", 34), Pinch("the lid", 22), Warm("PLA", 55, true))
}

// Every caution says what, what to do, whom to ask and by what source; none says that
// anything complies or is safe.
func TestWords(t *testing.T) {
	for _, c := range all() {
		text := strings.ToLower(c.Words + c.Do + c.Ask)
		for _, never := range []string{"complian", "complies", "is safe", "harmless", "certified", "approved"} {
			if strings.Contains(text, never) {
				t.Errorf("%q says %q", c.Words, never)
			}
		}
		if c.Words == "" || c.Do == "" || c.Ask == "" || c.Source == "" {
			t.Errorf("%+v", c)
		}
		if c.Kind <= SmallParts && !strings.Contains(c.Words, "estimate, have it measured") {
			t.Errorf("%q", c.Words)
		}
	}
}

// Values of the flux index worked out with independent tools: 6 x 3 at 1.2 T 395.06,
// 3 x 1 at 1.2 T 47.38; the limit of 16 CFR 1262.2 is 50.
func TestMagnet(t *testing.T) {
	cs := all()
	for i, want := range []string{"395 kG2 mm2, above the limit of 50", "47 kG2 mm2, below the limit of 50", "about the limit of 50", "would not fit"} {
		if !strings.Contains(cs[i].Words, want) {
			t.Errorf("%q lacks %q", cs[i].Words, want)
		}
	}
	if !strings.Contains(cs[1].Do, "hospital at once") {
		t.Error("a magnet below the limit is warned of all the same")
	}
}

// Sizes against 16 CFR 1501.4.
func TestPiece(t *testing.T) {
	for _, c := range []struct {
		e    geom.Vec
		want bool
	}{{geom.Vec{X: 31, Y: 31, Z: 50}, true}, {geom.Vec{X: 5, Y: 40, Z: 33}, false}, {geom.Vec{X: 80, Y: 10, Z: 10}, false}, {geom.Vec{X: 9, Y: 40, Z: 20}, true}} {
		if _, got := Piece("x", c.e); got != c.want {
			t.Errorf("%v: %v", c.e, got)
		}
	}
	if at, ok := Softens("PLA"); !ok || at > 65 {
		t.Error("PLA")
	}
	if _, ok := Softens("wood"); ok {
		t.Error("wood")
	}
}
