package design

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"
)

const chainBox = `
frame = part("frame", frame = True, solid = block(4, 4, 4))
lid = part("lid", solid = block(4, 4, 1).at(z = 5), travels = [slide(z, 0, 9)])
start({})
goal("off", {lid.slide: (8, None)})
`

func loadChain(text string) error {
	_, err := Load("d.star", Options{FS: fstest.MapFS{"d.star": {Data: []byte(chainBox + text)}}})
	return err
}

func TestChain(t *testing.T) {
	m, err := Load("d.star", Options{FS: fstest.MapFS{"d.star": {Data: []byte(chainBox +
		`chain("gap", {"box": (40, 0.1), "ring": (-25, 0.05), "washer": (-2, 0.03), "cap": (-10, 0.05)}, lo = 2.5)
chain("one", {"a": (5, 0.2, 0.1), "b": -3})
`)}}})
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Chains) != 2 || m.Chains[0].Lo != 2.5 || !math.IsInf(m.Chains[0].Hi, 1) {
		t.Fatalf("%+v", m.Chains)
	}
	// the textbook stack, see package stack
	r, err := m.Chains[0].Solve(0, 0)
	if err != nil || math.Abs(r.Worst.Hi-3.23) > 1e-12 || math.Abs(r.Root.Hi-3.126095) > 1e-6 {
		t.Errorf("%v %+v", err, r)
	}
	if d := m.Chains[1].Dims[0]; d.Plus != 0.2 || d.Minus != 0.1 || m.Chains[1].Dims[1].Nominal != -3 {
		t.Errorf("%+v", m.Chains[1])
	}
}

func TestChainMistakes(t *testing.T) {
	for text, want := range map[string]string{
		`chain("a", {})`:                                     "dims cannot be",
		`chain("a", [1])`:                                    "dims cannot be",
		`chain("a", {"x": (1, -2)})`:                         "the tolerance of \"x\"",
		`chain("a", {"x": (1, 2, 3, 4)})`:                    "has 4 numbers",
		`chain("a", {3: 1})`:                                 "no name for a dimension",
		`chain("a", {"x": 1}, lo = 2, hi = 1)`:               "leave nothing between",
		"chain(\"a\", {\"x\": 1})\nchain(\"a\", {\"x\": 1})": "already a chain",
	} {
		if err := loadChain(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}
