package export_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/geom"

	"pgregory.net/rapid"
)

func sized(name string, x, y, z float64) export.Model {
	return export.Model{
		Part: name, Mesh: block(geom.Vec{X: 3, Y: -7, Z: 1}, geom.Vec{X: 3 + x, Y: -7 + y, Z: 1 + z}),
		Pose: geom.Identity(), Print: geom.Identity(),
	}
}

// Whatever the sizes: every part is on one plate once, within the plate,
// resting on it, and no two are nearer to each other than the gap.
func TestPlatesNeverOverlap(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		plate := export.Plate{Width: 100, Depth: 80, Height: 60, Gap: 3}
		n := rapid.IntRange(1, 14).Draw(rt, "parts")
		var models []export.Model
		size := map[string][3]float64{}
		for i := range n {
			grid := func(most int) float64 { return float64(rapid.IntRange(1, most*64).Draw(rt, "size")) / 64 }
			x, y, z := grid(100), grid(80), grid(60)
			if rapid.Bool().Draw(rt, "turned") {
				x, y = y, x
			}
			name := fmt.Sprintf("p%d", i)
			size[name] = [3]float64{x, y, z}
			models = append(models, sized(name, x, y, z))
		}
		files, err := export.PlateFiles(models, export.ModelOptions{Plate: plate})
		if err != nil {
			rt.Fatal(err)
		}
		seen := map[string]bool{}
		for _, f := range files {
			var boxes []geom.Box
			for _, ob := range readOutput(t, files, f.Name).Objects {
				b := ob.Mesh.Bounds()
				if seen[ob.Name] {
					rt.Fatalf("%s twice", ob.Name)
				}
				seen[ob.Name] = true
				want := size[ob.Name]
				if d := b.Hi.Z; b.Lo.Z != 0 || d != want[2] {
					rt.Fatalf("%s stands from %g to %g", ob.Name, b.Lo.Z, d)
				}
				x, y := b.Hi.X-b.Lo.X, b.Hi.Y-b.Lo.Y
				if (x != want[0] || y != want[1]) && (x != want[1] || y != want[0]) || ob.Mesh.Volume() < 0 {
					rt.Fatalf("%s of %v became %g x %g", ob.Name, want, x, y)
				}
				if b.Lo.X < 0 || b.Lo.Y < 0 || b.Hi.X > plate.Width || b.Hi.Y > plate.Depth {
					rt.Fatalf("%s leaves the plate: %v", ob.Name, b)
				}
				for _, o := range boxes {
					if max(b.Lo.X-o.Hi.X, o.Lo.X-b.Hi.X, b.Lo.Y-o.Hi.Y, o.Lo.Y-b.Hi.Y) < plate.Gap {
						rt.Fatalf("%v and %v are nearer than the gap", b, o)
					}
				}
				boxes = append(boxes, b)
			}
		}
		if len(seen) != n {
			rt.Fatalf("%d of %d parts on the plates", len(seen), n)
		}
	})
}

// Four squares of 100 and a gap of 5 fit a plate of 220 two by two, a fifth does
// not; worked by hand.
func TestPlatesByHand(t *testing.T) {
	var models []export.Model
	for i := range 5 {
		models = append(models, sized(fmt.Sprintf("s%d", i), 100, 100, 5))
	}
	files, err := export.PlateFiles(models, export.ModelOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if got := names(files); !slices.Equal(got, []string{"plate-1.3mf", "plate-2.3mf"}) {
		t.Fatalf("files %v", got)
	}
	if n := len(readOutput(t, files, "plate-1.3mf").Objects); n != 4 {
		t.Errorf("%d parts on the first plate, want 4", n)
	}
	// 205 mm in the middle of 220: 7.5 mm on every side.
	all := geom.EmptyBox()
	for _, o := range readOutput(t, files, "plate-1.3mf").Objects {
		all = all.Union(o.Mesh.Bounds())
	}
	if all.Lo != (geom.Vec{X: 7.5, Y: 7.5}) || all.Hi != (geom.Vec{X: 212.5, Y: 212.5, Z: 5}) {
		t.Errorf("plate 1 is filled from %v to %v", all.Lo, all.Hi)
	}
}

// A part that fits only turned by a quarter is turned, not mirrored.
func TestPlateTurns(t *testing.T) {
	files, err := export.PlateFiles([]export.Model{sized("bar", 30, 90, 5)}, export.ModelOptions{Plate: export.Plate{Width: 100, Depth: 50}})
	if err != nil {
		t.Fatal(err)
	}
	m := readOutput(t, files, "plate-1.3mf").Objects[0].Mesh
	if b := m.Bounds(); b.Hi.X-b.Lo.X != 90 || b.Hi.Y-b.Lo.Y != 30 || m.Volume() != 30*90*5 {
		t.Errorf("bounds %v, volume %g", b, m.Volume())
	}
}

func TestPlateFaults(t *testing.T) {
	models := []export.Model{sized("keel", 300, 20, 5), sized("mast", 10, 10, 260), sized("hull", 10, 10, 10)}
	_, err := export.PlateFiles(models, export.ModelOptions{})
	if err == nil {
		t.Fatal("a part of 300 mm fits a plate of 220")
	}
	for _, w := range []string{`"keel" needs 300 x 20 x 5 mm`, `"mast" needs 10 x 10 x 260`, "220 x 220 x 250"} {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("error %q lacks %q", err, w)
		}
	}
	for _, p := range []export.Plate{{Width: -1}, {Depth: math.NaN()}, {Height: math.Inf(1)}, {Gap: -2}} {
		if _, err := export.PlateFiles(models[2:], export.ModelOptions{Plate: p}); err == nil {
			t.Errorf("plate %v was taken", p)
		}
	}
}
