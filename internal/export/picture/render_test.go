package picture_test

import (
	"image"
	"image/color"
	"math"
	"testing"

	"feint/internal/export/picture"
	"feint/internal/geom"
	"feint/internal/mesh"
)

// block is the mesh of a box, outward facing.
func block(lo, hi geom.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		p := lo
		if i&1 != 0 {
			p.X = hi.X
		}
		if i&2 != 0 {
			p.Y = hi.Y
		}
		if i&4 != 0 {
			p.Z = hi.Z
		}
		m.V = append(m.V, p)
	}
	m.T = [][3]int32{
		{0, 2, 1},
		{1, 2, 3},
		{4, 5, 6},
		{5, 7, 6},
		{0, 1, 4},
		{1, 5, 4},
		{2, 6, 3},
		{3, 6, 7},
		{0, 4, 2},
		{2, 4, 6},
		{1, 3, 5},
		{3, 7, 5},
	}
	return m
}

// tube is the mesh of a hollow cylinder about z with 48 sides, of 20 mm height.
func tube() *mesh.Mesh {
	const inner, outer, hi, n = 6, 10, 20, 48
	m := &mesh.Mesh{}
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		m.V = append(m.V, geom.Vec{X: inner * c, Y: inner * s}, geom.Vec{X: outer * c, Y: outer * s},
			geom.Vec{X: inner * c, Y: inner * s, Z: hi}, geom.Vec{X: outer * c, Y: outer * s, Z: hi})
	}
	quad := func(a, b, c, d int32) { m.T = append(m.T, [3]int32{a, b, c}, [3]int32{a, c, d}) }
	for i := range int32(n) {
		a, b := 4*i, 4*((i+1)%int32(n))
		quad(a+1, b+1, b+3, a+3) // outside
		quad(b, a, a+2, b+2)     // inside
		quad(a, b, b+1, a+1)     // below
		quad(b+2, a+2, a+3, b+3) // above
	}
	return m
}

func front(b geom.Box, size int) picture.Camera {
	in, up := geom.Vec{Y: 1}, geom.Vec{Z: 1}
	right, upward := picture.Axes(in, up)
	e := picture.NoExtent().Add(b.Lo, right, upward).Add(b.Hi, right, upward)
	return picture.LookAlong(in, up, e, size, size, 0.1)
}

func model(m *mesh.Mesh) picture.Model {
	return picture.Model{Mesh: m, Pose: geom.Identity(), Color: color.NRGBA{R: 200, G: 90, B: 60, A: 255}}
}

// covered is the sum of the pixels' cover, in mm2.
func covered(img *image.NRGBA, scale float64) float64 {
	a := 0.0
	for i := 3; i < len(img.Pix); i += 4 {
		a += float64(img.Pix[i]) / 255
	}
	return a / (scale * scale)
}

// TestMeshes: volumes of the test's own meshes against closed forms.
func TestMeshes(t *testing.T) {
	if v := block(geom.Vec{}, geom.Vec{X: 2, Y: 3, Z: 4}).Volume(); math.Abs(v-24) > 1e-12 {
		t.Errorf("box: %g", v)
	}
	const n = 48
	want := n / 2 * math.Sin(2*math.Pi/n) * (100 - 36) * 20
	if v := tube().Volume(); math.Abs(v-want) > 1e-9 {
		t.Errorf("tube: %g, want %g", v, want)
	}
}

// TestSilhouette: a box of 20 x 40 mm covers 800 mm2 of the picture, and the line
// round it, at most a pixel wide.
func TestSilhouette(t *testing.T) {
	m := block(geom.Vec{X: -10, Y: -10, Z: -20}, geom.Vec{X: 10, Y: 10, Z: 20})
	c := front(m.Bounds(), 200)
	if want := 160.0 / 40; math.Abs(c.Scale-want) > 1e-9 {
		t.Fatalf("scale %g, want %g", c.Scale, want)
	}
	got := covered(picture.Render([]picture.Model{model(m)}, c, nil).Image, c.Scale)
	if got < 800 || got > 800+120/c.Scale {
		t.Errorf("covers %g mm2, want 800 to %g", got, 800+120/c.Scale)
	}
}

// cutArea counts the pixels of a picture that bear the light fill or the lines
// of a cut face, by their colour.
func cutArea(img *image.NRGBA, c color.NRGBA, scale float64) float64 {
	light := float64(c.R) + 0.55*(255-float64(c.R))
	n := 0
	for i := 0; i < len(img.Pix); i += 4 {
		if img.Pix[i+3] == 255 && math.Abs(float64(img.Pix[i])-light) < 3 {
			n++
		}
	}
	return float64(n) / (scale * scale)
}

// TestCutFaces: a tube cut along its axis shows two walls of (outer - inner) x
// height. What is between them, the bore, is no cut face. Seen square on; the
// lines of the hatching and the edges take a known share at most.
func TestCutFaces(t *testing.T) {
	m := tube()
	c := front(m.Bounds(), 400)
	k := model(m)
	img := picture.Render([]picture.Model{k}, c, &picture.Plane{Normal: geom.Vec{Y: -1}}).Image
	walls := 2.0 * (10 - 6) * 20
	got := cutArea(img, k.Color, c.Scale)
	// A slanting line of hatching every seven pixels touches up to two and a half of
	// them, and an edge of a pixel runs all round.
	if got < 0.6*walls || got > walls {
		t.Errorf("cut faces of %g mm2, want about %g", got, walls)
	}
	x, y, _ := c.Project(geom.Vec{Z: 10})
	if p := img.NRGBAAt(int(x), int(y)); math.Abs(float64(p.R)-(200+0.55*55)) < 3 {
		t.Error("the bore is filled")
	}
}

// TestCutSide: the plane's direction does not matter, the eye always sees the face.
func TestCutSide(t *testing.T) {
	m := tube()
	c := front(m.Bounds(), 120)
	a := picture.Render([]picture.Model{model(m)}, c, &picture.Plane{Normal: geom.Vec{Y: -1}}).Image
	b := picture.Render([]picture.Model{model(m)}, c, &picture.Plane{Normal: geom.Vec{Y: 1}}).Image
	for i := range a.Pix {
		if a.Pix[i] != b.Pix[i] {
			t.Fatal("the pictures differ")
		}
	}
}

// TestWhole: a part that is to stay whole hides the cut behind it.
func TestWhole(t *testing.T) {
	hull, rod := model(tube()), model(block(geom.Vec{X: -3, Y: -3}, geom.Vec{X: 3, Y: 3, Z: 20}))
	rod.Color = color.NRGBA{R: 40, G: 90, B: 200, A: 255}
	c := front(hull.Mesh.Bounds(), 200)
	cut := &picture.Plane{Normal: geom.Vec{Y: -1}}
	x, y, _ := c.Project(geom.Vec{X: 1.3, Z: 9.1})
	for _, whole := range []bool{false, true} {
		rod.Whole = whole
		p := picture.Render([]picture.Model{hull, rod}, c, cut).Image.NRGBAAt(int(x), int(y))
		lightest := p.R > 100 // the light fill or not: 40 + 0.55*215 = 158; lines 26
		if whole && lightest {
			t.Errorf("a whole rod shows a cut face: %v", p)
		}
		if !whole && !lightest && p.R != 28 {
			t.Errorf("a cut rod shows no cut face: %v", p)
		}
	}
}

// TestHidden: of two boxes the nearer is seen, whichever is drawn first.
func TestHidden(t *testing.T) {
	near := model(block(geom.Vec{X: -5, Y: -20, Z: -5}, geom.Vec{X: 5, Y: -10, Z: 5}))
	far := model(block(geom.Vec{X: -10, Y: 0, Z: -10}, geom.Vec{X: 10, Y: 5, Z: 10}))
	far.Color = color.NRGBA{B: 250, A: 255}
	c := front(far.Mesh.Bounds(), 100)
	a := picture.Render([]picture.Model{near, far}, c, nil).Image
	b := picture.Render([]picture.Model{far, near}, c, nil).Image
	for i := range a.Pix {
		if a.Pix[i] != b.Pix[i] {
			t.Fatal("the order of drawing shows")
		}
	}
	if p := a.NRGBAAt(50, 50); p.R < p.B {
		t.Errorf("the far box is seen through the near one: %v", p)
	}
}

// TestSpots: a model's spot lies on it, as far from its outline as can be; a model
// that is not seen has none.
func TestSpots(t *testing.T) {
	near := model(block(geom.Vec{X: -10, Y: -20, Z: -10}, geom.Vec{X: 10, Y: -10, Z: 10}))
	far := model(block(geom.Vec{X: -30, Y: 0, Z: -30}, geom.Vec{X: 30, Y: 5, Z: 30}))
	lost := model(block(geom.Vec{X: -5, Y: -5, Z: -5}, geom.Vec{X: 5, Y: -2, Z: 5}))
	c := front(far.Mesh.Bounds(), 240)
	s := picture.Render([]picture.Model{near, far, lost}, c, nil).Spots
	if math.Abs(s[0].X-120) > 3 || math.Abs(s[0].Y-120) > 3 || math.Abs(s[0].Room-10*c.Scale) > 4 {
		t.Errorf("the near one: %+v", s[0])
	}
	// A frame of 20 mm all round. In its corner a place t from both outer sides is
	// 2 (20 - t) from the near box in city blocks: equal at t = 40/3 mm.
	if math.Abs(s[1].Room-40.0/3*c.Scale) > 4 {
		t.Errorf("the far one: %+v", s[1])
	}
	if s[2].Room != 0 {
		t.Errorf("the hidden one: %+v", s[2])
	}
}

// TestSharedEdge: a line of sight that meets a face right on the edge of its two
// triangles enters once, not twice. The block lies wholly before the plane, so all
// of it is taken away and nothing is left to fill. Its front and its back are
// divided along different diagonals, and samples lie exactly on both.
func TestSharedEdge(t *testing.T) {
	m := block(geom.Vec{X: -8, Y: -8, Z: -8}, geom.Vec{X: 8, Y: 8, Z: 8})
	m.T[6], m.T[7] = [3]int32{2, 6, 7}, [3]int32{2, 7, 3}
	c := front(m.Bounds(), 20)
	c.Scale = 1 // a mm is three samples; corners lie between samples, diagonals on them
	img := picture.Render([]picture.Model{model(m)}, c, &picture.Plane{Point: geom.Vec{Y: 50}, Normal: geom.Vec{Y: -1}}).Image
	if a := covered(img, 1); a != 0 {
		t.Errorf("%g mm2 of a cut face where there is nothing", a)
	}
}

// darkAlong counts the pixels from x0 to x1 of the row through the middle of a
// picture that are darker by a tenth than the faces left and right of them.
func darkAlong(img *image.NRGBA, x0, x1 int) int {
	n, y := 0, img.Rect.Dy()/2
	face := min(img.NRGBAAt(x0, y).R, img.NRGBAAt(x1, y).R)
	for x := x0; x < x1; x++ {
		if p := img.NRGBAAt(x, y); p.A == 255 && float64(p.R) < 0.9*float64(face) {
			n++
		}
	}
	return n
}

// TestEdges: a line is drawn where faces of a part meet at an angle, and where one
// lies before another that looks the same way; none within a face.
func TestEdges(t *testing.T) {
	corner := block(geom.Vec{X: -10, Y: -10, Z: -10}, geom.Vec{X: 10, Y: 10, Z: 10}).
		Moved(geom.Rotation(geom.Line{Dir: geom.Vec{Z: 1}}, math.Pi/4))
	step := block(geom.Vec{X: -14, Y: -5, Z: -10}, geom.Vec{X: 0, Y: 10, Z: 10})
	far := block(geom.Vec{X: 0, Y: 0, Z: -10}, geom.Vec{X: 14, Y: 10, Z: 10})
	n := int32(len(step.V))
	for _, k := range far.T {
		step.T = append(step.T, [3]int32{k[0] + n, k[1] + n, k[2] + n})
	}
	step.V = append(step.V, far.V...)
	for name, m := range map[string]*mesh.Mesh{"crease": corner, "step": step} {
		img := picture.Render([]picture.Model{model(m)}, front(m.Bounds(), 200), nil).Image
		if n := darkAlong(img, 85, 115); n < 1 || n > 2 {
			t.Errorf("%s: a line %d pixels wide", name, n)
		}
		if n := darkAlong(img, 30, 85); n != 0 {
			t.Errorf("%s: %d dark pixels within a face", name, n)
		}
	}
}
