//go:build ignore

// Command make writes model files of the latch-rod parts for other programs to
// read: go run make.go PARTS OUT. The scene has turned parts, a name with signs
// that XML must escape, several colours and all metadata.
package main

import (
	"bytes"
	"log"
	"math"
	"os"
	"path/filepath"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

func main() {
	log.SetFlags(0)
	parts, out := os.Args[1], os.Args[2]
	quarter := func(x, y, z float64) geom.Motion {
		return geom.Rotation(geom.Line{Dir: geom.Vec{X: x, Y: y, Z: z}}, math.Pi/2)
	}
	models := []export.Model{
		{Part: "frame", Color: "#c8c0b0", Mesh: read(parts, "frame"), Pose: geom.Identity(), Print: quarter(1, 0, 0), Frame: true},
		{Part: "slider & pin", Color: "#ff8000", Mesh: read(parts, "slider"), Pose: geom.Translation(geom.Vec{X: 16}), Print: quarter(1, 0, 0)},
		{Part: `"Gate" <ä>`, Color: "#0080ff", Mesh: read(parts, "gate"), Pose: geom.Translation(geom.Vec{Z: 10}), Print: quarter(-1, 0, 0)},
		// The rod's pose is no motion it can make; it is turned for the readers' sake.
		{Part: "rod", Color: "#40a040", Mesh: read(parts, "rod"), Pose: quarter(0, 0, 1), Print: geom.Identity()},
	}
	o := export.ModelOptions{
		Meta: meshfile.Meta{
			Title: "Latch & rod", Designer: "feint", Description: "A sample for other readers", Copyright: "none", LicenseTerms: "Apache-2.0",
			Rating: "everyone", CreationDate: "2026-01-02", ModificationDate: "2026-01-03", Application: "feint",
		},
		Plate: export.Plate{Width: 120, Depth: 90},
		Cut: &export.Cut{
			Plane: geom.Line{Point: geom.Vec{X: 10}, Dir: geom.Vec{X: 1}},
			Parts: []string{"slider & pin", `"Gate" <ä>`},
		},
	}
	if _, err := export.WriteModels(out, models, o); err != nil {
		log.Fatal(err)
	}
	var text bytes.Buffer
	if err := meshfile.WriteTextSTL(&text, "rod", models[3].Mesh); err != nil {
		log.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(out, "rod-text.stl"), text.Bytes(), 0o644); err != nil {
		log.Fatal(err)
	}
}

func read(dir, name string) *mesh.Mesh {
	file := filepath.Join(dir, name+".stl")
	data, err := os.ReadFile(file)
	if err != nil {
		log.Fatal(err)
	}
	f, err := meshfile.Read(file, data, meshfile.Limits{})
	if err != nil {
		log.Fatal(err)
	}
	return f.Objects[0].Mesh
}
