package clearance

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

// The conforming pair: a rod of radius 6 with a radial pin of radius 1.5 out to
// radius 9, in a sleeve of bore 6.3 and height 18 with a groove 3.4 wide to
// radius 9.3 that runs straight in at 0 deg, round to 120 deg at mid height, and
// straight out. Coordinates are rounded to float32 as in an STL file.

// float is x as an STL file keeps it.
func float(x float64) float64 { return float64(float32(x)) }

func floats(m *mesh.Mesh) *mesh.Mesh {
	for i, p := range m.V {
		m.V[i] = v(float(p.X), float(p.Y), float(p.Z))
	}
	return m
}

func polar(r, a, z float64) geom.Vec { return v(r*math.Cos(a), r*math.Sin(a), z) }

// drum is a solid cylinder of n flats about z, nz rings along and nr on its ends.
func drum(r, z0, z1 float64, n, nz, nr int, place func(geom.Vec) geom.Vec) *mesh.Mesh {
	b := newBuilder()
	p := func(r float64, i int, z float64) geom.Vec {
		return place(polar(r, 2*math.Pi*float64(i%n)/float64(n), z))
	}
	for i := range n {
		for k := range nz {
			u, w := z0+(z1-z0)*float64(k)/float64(nz), z0+(z1-z0)*float64(k+1)/float64(nz)
			b.quad(p(r, i, u), p(r, i+1, u), p(r, i+1, w), p(r, i, w))
		}
		for k := range nr {
			u, w := r*float64(k)/float64(nr), r*float64(k+1)/float64(nr)
			b.quad(p(u, i, z1), p(w, i, z1), p(w, i+1, z1), p(u, i+1, z1))
			b.quad(p(u, i, z0), p(u, i+1, z0), p(w, i+1, z0), p(w, i, z0))
		}
	}
	return &b.m
}

// rodMesh is the rod, its pin at z = 10 on the x axis: two shells that overlap.
func rodMesh() *mesh.Mesh {
	body := drum(6, -35, 35, 128, 70, 3, func(p geom.Vec) geom.Vec { return p })
	pin := drum(1.5, 5, 9, 48, 10, 4, func(p geom.Vec) geom.Vec { return v(p.Z, p.X, p.Y+10) })
	return floats(join(body, pin))
}

// sleeve is the grid on which the sleeve is drawn.
type sleeve struct {
	t, z []float64 // angles (closed) and heights (with the last)
	r    []float64 // of the walls, from the bore outwards; the first 4 span the groove
}

const (
	sleeveBore, sleeveGroove, sleeveOut = 6.3, 9.3, 16.0
	sleeveHeight, grooveHalf            = 18.0, 1.7
)

func newSleeve() *sleeve {
	s := &sleeve{}
	run := func(to *[]float64, a, b float64, n int) {
		for i := range n {
			*to = append(*to, a+(b-a)*float64(i)/float64(n))
		}
	}
	h, far := math.Asin(grooveHalf/sleeveBore), 2*math.Pi/3
	run(&s.t, -h, h, 32)
	run(&s.t, h, far-h, 89)
	run(&s.t, far-h, far+h, 32)
	run(&s.t, far+h, 2*math.Pi-h, 207)
	run(&s.z, 0, 9-grooveHalf, 15)
	run(&s.z, 9-grooveHalf, 9+grooveHalf, 7)
	run(&s.z, 9+grooveHalf, sleeveHeight, 15)
	s.z = append(s.z, sleeveHeight)
	run(&s.r, sleeveBore, sleeveGroove, 3)
	run(&s.r, sleeveGroove, sleeveOut, 3)
	s.r = append(s.r, sleeveOut)
	return s
}

// cut tells whether the groove takes the patch i round, k along; beyond the ends
// of the sleeve there is nothing to take.
func (s *sleeve) cut(i, k int) bool {
	n := len(s.t)
	i %= n
	if k < 0 || k >= len(s.z)-1 {
		return true
	}
	next := 2*math.Pi + s.t[0]
	if i+1 < n {
		next = s.t[i+1]
	}
	t, z := (s.t[i]+next)/2, (s.z[k]+s.z[k+1])/2
	h, far := math.Asin(grooveHalf/sleeveBore), 2*math.Pi/3
	switch {
	case math.Abs(t) < h && z < 9+grooveHalf, math.Abs(t-far) < h && z > 9-grooveHalf:
		return true
	}
	return t > -h && t < far+h && math.Abs(z-9) < grooveHalf
}

func (s *sleeve) at(r float64, i int, z float64) geom.Vec { return polar(r, s.t[i%len(s.t)], z) }

func sleeveMesh() *mesh.Mesh {
	s, b := newSleeve(), newBuilder()
	for i := range s.t {
		for k := range len(s.z) - 1 {
			s.inner(b, i, k)
		}
		s.ends(b, i)
		for k := range 18 {
			u, w := float64(k), float64(k+1)
			b.quad(s.at(sleeveOut, i, u), s.at(sleeveOut, i+1, u), s.at(sleeveOut, i+1, w), s.at(sleeveOut, i, w))
		}
	}
	return floats(&b.m)
}

// inner draws the floor of patch (i, k) and the groove's walls beyond it.
func (s *sleeve) inner(b *builder, i, k int) {
	r, here := sleeveBore, s.cut(i, k)
	if here {
		r = sleeveGroove
	}
	z0, z1 := s.z[k], s.z[k+1]
	b.quad(s.at(r, i, z0), s.at(r, i, z1), s.at(r, i+1, z1), s.at(r, i+1, z0))
	wall := func(p, q, u, w geom.Vec, flip bool) {
		if flip {
			b.quad(p, w, u, q)
		} else {
			b.quad(p, q, u, w)
		}
	}
	for q := range 3 {
		r0, r1 := s.r[q], s.r[q+1]
		if s.cut(i+1, k) != here {
			wall(s.at(r0, i+1, z0), s.at(r0, i+1, z1), s.at(r1, i+1, z1), s.at(r1, i+1, z0), here)
		}
		if k+2 < len(s.z) && s.cut(i, k+1) != here {
			wall(s.at(r0, i, z1), s.at(r0, i+1, z1), s.at(r1, i+1, z1), s.at(r1, i, z1), !here)
		}
	}
}

// ends draws the two faces of the sleeve over angle i.
func (s *sleeve) ends(b *builder, i int) {
	last := len(s.z) - 2
	for q := range len(s.r) - 1 {
		u, w := s.r[q], s.r[q+1]
		if q >= 3 || !s.cut(i, 0) {
			b.quad(s.at(u, i, 0), s.at(u, i+1, 0), s.at(w, i+1, 0), s.at(w, i, 0))
		}
		if q >= 3 || !s.cut(i, last) {
			b.quad(s.at(u, i, sleeveHeight), s.at(w, i, sleeveHeight), s.at(w, i+1, sleeveHeight), s.at(u, i+1, sleeveHeight))
		}
	}
}

// rodSleeve is the pair: the rod slides from -20 to 40 and turns fully.
func rodSleeve() *mechanism.Mechanism {
	return pairing([]mechanism.Travel{slide(v(0, 0, 1), -20, 40), fullTurn(zAxis)}, nil)
}

// TestRodSleeveMeshes compares with the numbers of triangles and the volume
// 12 056.5 mm3 of a sleeve without facets, (16^2-6.3^2) pi 18 less the groove.
func TestRodSleeveMeshes(t *testing.T) {
	rod, sl := rodMesh(), sleeveMesh()
	if len(rod.T) != 20832 || len(sl.T) != 49752 {
		t.Errorf("rod %d, sleeve %d triangles, want 20832 and 49752", len(rod.T), len(sl.T))
	}
	h := math.Asin(grooveHalf / sleeveBore)
	groove := (2*h*(9+grooveHalf)*2 + (2*math.Pi/3-2*h)*2*grooveHalf) * (sleeveGroove*sleeveGroove - sleeveBore*sleeveBore) / 2
	want := math.Pi*(sleeveOut*sleeveOut-sleeveBore*sleeveBore)*sleeveHeight - groove
	if got := sl.Volume(); math.Abs(got-want) > 1e-3*want {
		t.Errorf("sleeve volume %.2f, want %.2f", got, want)
	}
	if got, want := rod.Volume(), math.Pi*(36*70+2.25*4); math.Abs(got-want) > 3e-3*want {
		t.Errorf("rod volume %.2f, want %.2f", got, want)
	}
}

func BenchmarkBodies(b *testing.B) {
	rod, sl := rodMesh(), sleeveMesh()
	for b.Loop() {
		x, y := body(b, rod), body(b, sl)
		x.form(zAxis)
		y.form(zAxis)
	}
}

// TestRodSleeveFiles writes the pair as STL and reads it back the same: into the
// folder named by ROD_SLEEVE_DIR, if it is set, for programs that are not ours
// (scripts/peers/rod-sleeve.sh).
func TestRodSleeveFiles(t *testing.T) {
	dir := os.Getenv("ROD_SLEEVE_DIR")
	if dir == "" {
		dir = t.TempDir()
	}
	for name, m := range map[string]*mesh.Mesh{"rod.stl": rodMesh(), "sleeve.stl": sleeveMesh()} {
		var b bytes.Buffer
		if err := meshfile.WriteSTL(&b, name, m); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		f, err := meshfile.Read(name, b.Bytes(), meshfile.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		back, err := f.Take("")
		if err != nil {
			t.Fatal(err)
		}
		if len(back.T) != len(m.T) || math.Abs(back.Volume()-m.Volume()) > 1e-9*m.Volume() {
			t.Errorf("%s: %d triangles and %g mm3 come back as %d and %g", name, len(m.T), m.Volume(), len(back.T), back.Volume())
		}
	}
}

// The bounds of the conforming pair against the distance trees of package mesh,
// which share no code with the maps and are themselves held to libfcl: at random
// places of random cells the distance of the surfaces lies within the bounds where
// they are apart, and a cell told blocked at 0 has them cross or the pin within
// the wall.
func TestRodSleeveBounds(t *testing.T) {
	if testing.Short() {
		t.Skip("slow with the race detector, which uses -short; the plain run has it")
	}
	rod, sl := rodMesh(), sleeveMesh()
	mp := mapOf(t, rodSleeve(), rod, sl)
	if err := mp.Refine(context.Background(), []float64{0, 0.1, 0.17}, 0.32); err != nil {
		t.Fatal(err)
	}
	var cells []Cell
	for c := range mp.Cells() {
		cells = append(cells, c)
	}
	a, b := mesh.NewTree(rod), mesh.NewTree(sl)
	rng := rand.New(rand.NewPCG(5, 6))
	free, blocked := 0, 0
	for range 150 {
		c := &cells[rng.IntN(len(cells))]
		var x [2]float64
		for i := range x {
			x[i] = c.Lo[i] + (c.Hi[i]-c.Lo[i])*rng.Float64()
		}
		g := geom.Rotation(zAxis, x[1]).Then(geom.Translation(v(0, 0, x[0])))
		d, _, _ := a.Distance(b, g, math.Inf(1))
		tip, _, _ := b.Signed(g.Apply(v(9, 0, 10)))
		switch {
		case d > 1e-6 && tip > 0: // apart
			free++
			if c.Lower > d+1e-5 || c.Upper < d-1e-5 {
				t.Errorf("at %.4f: bounds %g to %g, distance %g", x, c.Lower, c.Upper, d)
			}
		default:
			blocked++
			if c.Lower > 1e-6 {
				t.Errorf("at %.4f: bounds %g to %g, but the surfaces cross", x, c.Lower, c.Upper)
			}
		}
	}
	if free < 20 || blocked < 20 {
		t.Errorf("%d places apart, %d crossing: too few to tell", free, blocked)
	}
}
