package solid

import (
	"errors"
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// Mistakes are told with their place, and what to do.
func TestRefusals(t *testing.T) {
	loop := func(ps ...mechanism.ProfilePoint) mechanism.Profile {
		return mechanism.Profile{Loops: [][]mechanism.ProfilePoint{ps}}
	}
	cases := []struct {
		p    mechanism.Primitive
		want string
	}{
		{mechanism.Block{}, "every length must be positive"},
		{mechanism.Block{Hi: geom.Vec{X: 2, Y: 2, Z: 2}, Edge: mechanism.Edge{Round: 1.1}, Edges: "all"}, "do not fit"},
		{mechanism.Block{Hi: geom.Vec{X: 2, Y: 2, Z: 2}, Edge: mechanism.Edge{Round: 1}, Edges: "side"}, "name vertical, top"},
		{mechanism.Block{Hi: geom.Vec{X: 2, Y: 2, Z: 2}, Edge: mechanism.Edge{Round: 1, Chamfer: 1}, Edges: "all"}, "give one of them"},
		{mechanism.Cylinder{R: -1, H: 2}, "r is -1"},
		{mechanism.Cylinder{R: 1, H: 2, Top: mechanism.Edge{Chamfer: 1.5}}, "wider than the radius"},
		{mechanism.Cylinder{R: 9, H: 2, Top: mechanism.Edge{Chamfer: 1.5}, Bottom: mechanism.Edge{Round: 1}}, "higher than the cylinder"},
		{mechanism.Cone{H: 2}, "one must be positive"},
		{mechanism.Sphere{R: math.NaN()}, "give a positive number"},
		{mechanism.Extrusion{H: 2}, "no loop"},
		{mechanism.Extrusion{H: 2, Profile: loop(mechanism.ProfilePoint{}, mechanism.ProfilePoint{X: 1})}, "bounds no area"},
		{mechanism.Extrusion{H: 2, Profile: loop(mechanism.ProfilePoint{}, mechanism.ProfilePoint{X: 2, Y: 2}, mechanism.ProfilePoint{X: 2}, mechanism.ProfilePoint{Y: 2})}, "crosses or touches itself"},
		{mechanism.Extrusion{H: 2, Profile: loop(mechanism.ProfilePoint{}, mechanism.ProfilePoint{X: 2, Round: 3}, mechanism.ProfilePoint{Y: 2})}, "make them smaller"},
		{mechanism.Extrusion{H: 9, Chamfer: 2, Profile: loop(mechanism.ProfilePoint{}, mechanism.ProfilePoint{X: 3}, mechanism.ProfilePoint{X: 3, Y: 3}, mechanism.ProfilePoint{Y: 3})}, "make the chamfer smaller"},
		{mechanism.Extrusion{H: 2, Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{square(2), ringLoop(2, 1, 0.5)}}}, "move the hole"},
		{mechanism.Extrusion{H: 2, Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{square(2), ringLoop(5, 1, 0.5)}}}, "outside loop 1"},
		{mechanism.Extrusion{H: 2, Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{square(9), ringLoop(4, 4, 3), ringLoop(4, 4, 1)}}}, "shape of its own"},
		{mechanism.Revolution{Angle: 7, Profile: loop(ringLoop(3, 0, 1)...)}, "at most 360"},
		{mechanism.Revolution{Angle: 1, Profile: loop(ringLoop(1, 0, 2)...)}, "beyond the axis"},
		{mechanism.Groove{Width: 1, Depth: 1, Path: path(1, 1, 1, 1)}, "two points that differ"},
		{mechanism.Groove{On: mechanism.Shaft, R: 5, Width: 3, Depth: 4, Path: path(0, 0, 0, 9)}, "meets the axis"},
		{mechanism.Groove{On: mechanism.Shaft, R: 9, Width: 3, Depth: 2, Path: path(0, 0, 1, 9), Section: mechanism.Roofed}, "cannot end square"},
		{mechanism.Thread{Root: 5, Crest: 6, RootWidth: 3, CrestWidth: 1, H: 9, Lead: 3, Starts: 1}, "make them narrower"},
		{mechanism.Thread{Root: 5, Crest: 6, RootWidth: 0.03, CrestWidth: 0.01, H: 900, Lead: 0.05, Starts: 1}, "make it shorter"},
		{mechanism.Groove{On: mechanism.Bore, R: 9, Width: 3, Depth: 2, Path: path(0, 0, 1e6, 9)}, "make it shorter"},
		{mechanism.Text{Words: "~", Size: 5, Height: 1, Stroke: 1}, "no letter form"},
		{mechanism.Text{Words: "A", Size: 5, Height: 1, Stroke: 2}, "run together"},
		{mechanism.Text{On: mechanism.Shaft, R: 3, Words: "ROUND AND ROUND", Size: 5, Height: 0.4, Stroke: 0.7}, "smaller or shorter"},
		{mechanism.MeshFile{Name: "gull.stl"}, "no mesh files"},
	}
	for _, c := range cases {
		s := leaf(c.p)
		s.Pos = mechanism.Pos{File: "pier.star", Line: 7, Col: 3}
		_, err := Build(s, Options{})
		if err == nil || !strings.HasPrefix(err.Error(), "pier.star:7:3: ") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%T%+v: %v; want %q", c.p, c.p, err, c.want)
		}
		if _, ok := c.p.(mechanism.Text); ok {
			if _, err := Field(s); err == nil {
				t.Errorf("%T%+v has a field", c.p, c.p)
			}
		}
	}
}

// All mistakes of a drawing come at once; nothing left is a mistake.
func TestAllMistakes(t *testing.T) {
	bad := func(line int) *mechanism.Shape {
		s := leaf(mechanism.Sphere{R: -1})
		s.Pos = mechanism.Pos{File: "pier.star", Line: line}
		return s
	}
	_, err := Build(op(mechanism.Join, bad(2), leaf(mechanism.Sphere{R: 1}), bad(5)), Options{})
	if err == nil || !strings.Contains(err.Error(), "pier.star:2:") || !strings.Contains(err.Error(), "pier.star:5:") {
		t.Errorf("%v", err)
	}
	ball := leaf(mechanism.Sphere{R: 1})
	if _, err := Build(op(mechanism.Cut, ball, ball), Options{}); err == nil || !strings.Contains(err.Error(), "nothing is left") {
		t.Errorf("%v", err)
	}
	if _, err := Build(ball, Options{Tolerance: 1}); err == nil || !strings.Contains(err.Error(), "tolerance") {
		t.Errorf("%v", err)
	}
}

// A drawing that is one mesh file is that mesh, faults and all; as part of more
// it is a solid like any other.
func TestMeshFiles(t *testing.T) {
	open := &mesh.Mesh{V: []geom.Vec{{}, {X: 1.23456789}, {Y: 1}}, T: [][3]int32{{0, 1, 2}}}
	cube, err := Facet(mechanism.Block{Hi: geom.Vec{X: 2, Y: 2, Z: 2}}, DefaultTolerance)
	if err != nil {
		t.Fatal(err)
	}
	o := Options{Load: func(f mechanism.MeshFile) (*mesh.Mesh, error) {
		switch f.Name {
		case "open.stl":
			return open, nil
		case "cube.stl":
			return cube, nil
		}
		return nil, errors.New(f.Name + ": no such file")
	}}
	file := func(n string) *mechanism.Shape { return leaf(mechanism.MeshFile{Name: n}) }
	m, err := Build(op(mechanism.Join, file("open.stl")), o)
	if err != nil || m != open {
		t.Errorf("a lone file is not its mesh: %v %v", m, err)
	}
	m, err = Build(at(1, 2, 3, file("open.stl")), o)
	if err != nil || m.V[1] != (geom.Vec{X: 1 + 1.23456789, Y: 2, Z: 3}) {
		t.Errorf("a placed file: %v %v", m, err)
	}
	plane := geom.Line{Dir: geom.Vec{X: 1}}
	m, err = Build(&mechanism.Shape{Op: mechanism.Mirror, Args: []*mechanism.Shape{at(1, 0, 0, file("cube.stl"))}, Plane: plane}, o)
	if err != nil || m.Volume() != 8 || m.Bounds().Lo.X != -3 {
		t.Errorf("a mirrored file: %v %v", m, err)
	}
	m, err = Build(op(mechanism.Cut, file("cube.stl"), at(1, 1, 1, file("cube.stl"))), o)
	if err != nil || m.Volume() != 7 {
		t.Errorf("a cut file: %v", err)
	}
	bad := file("open.stl")
	bad.Pos = mechanism.Pos{File: "pier.star", Line: 9}
	if _, err = Build(op(mechanism.Cut, file("cube.stl"), bad), o); err == nil || !strings.HasPrefix(err.Error(), "pier.star:9:") {
		t.Errorf("a mesh with a hole was cut: %v", err)
	}
	if _, err = Build(file("none.stl"), o); err == nil || !strings.Contains(err.Error(), "no such file") {
		t.Errorf("%v", err)
	}
	if _, err := Field(file("cube.stl")); err == nil {
		t.Error("a mesh file has a field")
	}
}

// The same mesh, bit by bit, with one worker and with several.
func TestWorkers(t *testing.T) {
	for _, s := range []*mechanism.Shape{sleeve(), screw()} {
		var first *mesh.Mesh
		for _, w := range []int{1, 2, 5} {
			m, err := Build(s, Options{Workers: w})
			if err != nil {
				t.Fatal(err)
			}
			if first == nil {
				first = m
			}
			if len(m.V) != len(first.V) || len(m.T) != len(first.T) {
				t.Fatalf("%d workers: %d vertices, %d triangles; one: %d, %d", w, len(m.V), len(m.T), len(first.V), len(first.T))
			}
			for i := range m.V {
				if m.V[i] != first.V[i] {
					t.Fatalf("%d workers: vertex %d differs", w, i)
				}
			}
			for i := range m.T {
				if m.T[i] != first.T[i] {
					t.Fatalf("%d workers: triangle %d differs", w, i)
				}
			}
		}
	}
}

// A finer tolerance keeps its promise too.
func TestTolerance(t *testing.T) {
	for _, tol := range []float64{0.001, 0.02} {
		for _, s := range []*mechanism.Shape{sleeve(), rod(), leaf(mechanism.Sphere{R: 4}), screw()} {
			m, err := Build(s, Options{Tolerance: tol})
			if err != nil {
				t.Fatal(err)
			}
			f, err := Field(s)
			if err != nil {
				t.Fatal(err)
			}
			if worst, where := onField(m, f); worst > tol*1.05 {
				t.Errorf("tolerance %g: %.5f mm off at %v", tol, worst, where)
			}
		}
	}
}

// A ridge that goes back over itself is told with its place, as drawn, not as a mesh
// to be mended.
func TestBackOverItself(t *testing.T) {
	const r = 6.25
	s := mechanism.Stroke{On: mechanism.Surface(1), R: r, Width: 1.375, Height: 0.5918864170089364, Path: []mechanism.PathPoint{{}, {U: 8 / r}, {}}}
	_, err := Build(leaf(s), Options{})
	var u *mesh.Unresolved
	if !errors.As(err, &u) || !strings.Contains(err.Error(), "meets itself") || strings.Contains(err.Error(), "mend it") {
		t.Errorf("%v", err)
	}
}
