package pipeline

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"feint/internal/verdict"
)

// The place told of an overlap lies in what the two drawings have in common: here two
// blocks share x 18..20, y 4..6, z 0..5, and of a rod through a plate the surfaces only
// cross, round x 0, y 0, z 20..24.
func TestClashPlace(t *testing.T) {
	name := filepath.Join(t.TempDir(), "clash.star")
	text := `
frame = part("frame", frame = True, solid = block((0, 20), (0, 6), (0, 5)))
arm = part("arm", solid = block((18, 40), (4, 12), (-3, 9)), travels = [slide(x, 0, 30, name = "go")])
plate = part("plate", solid = block((-30, 30), (-30, 30), (20, 24)), travels = [slide(z, 0, 30, name = "up")])
rod = part("rod", solid = cylinder(d = 4, h = 60).at(0, 0, 8), travels = [slide(x, 0, 5, name = "aside")])
start({})
goal("away", {arm.go: (25, None)})
`
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := Prove(context.Background(), name, Options{})
	if err != nil {
		t.Fatal(err)
	}
	common := map[string][2][3]float64{
		"frame/arm": {{18, 4, 0}, {20, 6, 5}},
		"plate/rod": {{-2, -2, 20}, {2, 2, 24}},
	}
	for i := range out.Document.Findings {
		f := &out.Document.Findings[i]
		if f.Rule != "clash-at-start" {
			continue
		}
		box, ok := common[f.Where.Parts[0]+"/"+f.Where.Parts[1]]
		if !ok || f.Where.At == nil {
			t.Errorf("%+v: not meant to overlap, or without a place", f)
			continue
		}
		for k, v := range f.Where.At {
			if v < box[0][k]-0.01 || v > box[1][k]+0.01 {
				t.Errorf("%s at %v, not in %v", f.Where.Parts, f.Where.At, box)
			}
		}
		delete(common, f.Where.Parts[0]+"/"+f.Where.Parts[1])
	}
	if len(common) > 0 {
		t.Errorf("not told: %v", common)
	}
}

// Parts that no travel moves against each other, glued face to face or pressed in, do not
// bind however they print; where they overlap by more than is declared it is a clash.
// Closed form: the drawer has 0.3 mm a side, which both grow by 0.15 mm into.
func TestGluedPartsDoNotBind(t *testing.T) {
	const box = `box = part("box", frame = True, solid = block(40, 30, 20) - block((-16, 30), (-6.3, 6.3), (4.7, 11.3)))
drawer = part("drawer", solid = block((-15, 19), (-6, 6), (5, 11)), travels = [slide(x, 0, 30, name = "out")])
knob = part("knob", carried_by = drawer, solid = cylinder(d = 4, h = 6).along(x).at(x = %s, z = 8))
foot = part("foot", solid = block((-10, 10), (-10, 10), (-3, 0)))
%s
goal("open", {drawer.out: (25, None)})
`
	for _, c := range []struct {
		at, fit string
		want    verdict.Kind
	}{
		{"19", "", verdict.Works},
		{"18.9", "press_fit(knob, drawer, depth = 0.12)", verdict.Works},
		{"18.9", "", verdict.Clash},
		{"18.9", "press_fit(knob, drawer, depth = 0.08)", verdict.Clash},
	} {
		path := filepath.Join(t.TempDir(), "glued.star")
		if err := os.WriteFile(path, []byte(fmt.Sprintf(box, c.at, c.fit)), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if out.Verdict.Kind != c.want {
			t.Errorf("knob at %s, %q: %s, want %v", c.at, c.fit, out.Verdict.Sentence, c.want)
		}
		if c.want == verdict.Works {
			if !out.Verdict.Certified {
				t.Errorf("knob at %s: not certified", c.at)
			}
			within(t, "bind", out.Document.Fit.Bind, 0.15, 0.0125)
		}
	}
}
