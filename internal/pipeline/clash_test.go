package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"testing"
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
