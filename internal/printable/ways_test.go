package printable

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// Closed form: the hull of a block with a corner cut off has the block's faces,
// less the corner, and the triangle; points inside change nothing.
func TestHullOfBlock(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var pts []geom.Vec
	for i := range 8 {
		p := geom.Vec{X: float64(i & 1), Y: float64(i >> 1 & 1), Z: float64(i >> 2)}
		if i != 7 {
			pts = append(pts, r3.Scale(10, p))
		}
	}
	pts = append(pts, geom.Vec{X: 7, Y: 10, Z: 10}, geom.Vec{X: 10, Y: 7, Z: 10}, geom.Vec{X: 10, Y: 10, Z: 7})
	for range 2000 {
		pts = append(pts, geom.Vec{X: 6.9 * r.Float64(), Y: 10 * r.Float64(), Z: 10 * r.Float64()})
	}
	fs := facets(pts)
	if len(fs) != 7 {
		t.Fatalf("%d facets: %+v", len(fs), fs)
	}
	near(t, "whole face", fs[0].Area, 100, 1e-9)
	near(t, "face less a corner", fs[3].Area, 95.5, 1e-9)
	near(t, "triangle", fs[6].Area, math.Sqrt(3)/4*18, 1e-9) // equilateral, side 3 sqrt 2
	near(t, "its normal", fs[6].Normal.X, 1/math.Sqrt(3), 1e-9)
}

// Every point of a random cloud lies on or inside the hull, and the hull is closed.
func TestHullHoldsAll(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		var pts []geom.Vec
		for range 300 {
			pts = append(pts, geom.Vec{X: r.NormFloat64(), Y: 2 * r.NormFloat64(), Z: r.NormFloat64()})
		}
		edges := map[[2]geom.Vec]int{}
		for _, f := range hull3(pts) {
			n := f.Normal()
			for _, p := range pts {
				if h := r3.Dot(n, r3.Sub(p, f[0])); h > 1e-4 {
					t.Fatalf("a point lies %g outside", h)
				}
			}
			for k := range 3 {
				edges[[2]geom.Vec{f[k], f[(k+1)%3]}]++
			}
		}
		for e, n := range edges {
			if n != 1 || edges[[2]geom.Vec{e[1], e[0]}] != 1 {
				t.Fatal("the hull is not closed")
			}
		}
	}
	if hull3([]geom.Vec{{}, {X: 1}, {Y: 1}, {X: 1, Y: 1}}) != nil {
		t.Error("points in one plane have a hull")
	}
}

// A T prints without supports on its head or lying; on its foot both arms need them.
func TestBestWayUp(t *testing.T) {
	p := piece(t, join(brick(-4, 4, 0, 20, 0, 20), brick(-20, 20, 0, 20, 20, 26)))
	r, err := Look(p, Default(), 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "support on its foot", r.Given.Support, 2*16*20*20, 1e-6)
	if r.Best != 0 || r.Ways[0].Support != 0 {
		t.Errorf("best %d %q with %g mm3: %q", r.Best, r.Ways[0].Name, r.Ways[0].Support, r.Why)
	}
	head := slices.IndexFunc(r.Ways, func(w WayUp) bool { return w.Name == "+z down" })
	if head < 0 || r.Ways[head].Support != 0 || !r.Ways[head].Stands || math.Abs(r.Ways[head].Contact-800) > 1e-6 {
		t.Errorf("on its head: %+v", r.Ways)
	}
	if len(r.Why) == 0 || !strings.Contains(strings.Join(r.Why, " "), "less room for supports") {
		t.Errorf("why: %q", r.Why)
	}
	p.Up = r.Ways[0].Up
	again, err := Look(p, Default(), 1)
	if err != nil {
		t.Fatal(err)
	}
	if again.Best >= 0 {
		t.Errorf("of the best, %q is still better: %q", again.Ways[again.Best].Name, again.Why)
	}
	near(t, "same as the way offered", again.Given.Estimate.Minutes, r.Ways[0].Estimate.Minutes, 1e-9)
}

// A slanted flat of the hull is found: a wedge of 30 degrees is tried on its slope.
func TestHullFlatIsTried(t *testing.T) {
	h := 20 * math.Tan(deg(30))
	wedge := leaf(mechanism.Extrusion{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{{}, {X: 20}, {X: 20, Y: h}}}}, H: 10})
	cs := candidates(build(t, wedge, 0.01), geom.Identity())
	i := slices.IndexFunc(cs, func(c candidate) bool { return strings.Contains(c.name, "flat of") })
	if i < 0 {
		t.Fatalf("tried: %+v", cs)
	}
	d := downOf(cs[i].up)
	near(t, "x", d.X, -math.Sin(deg(30)), 1e-6)
	near(t, "y", d.Y, math.Cos(deg(30)), 1e-6)
}

func TestBed(t *testing.T) {
	s := Default()
	s.Bed = [3]float64{100, 60, 50}
	for _, c := range []struct {
		x, y, z, over float64
	}{{100, 60, 50, 0}, {60, 100, 10, 0}, {100.5, 60, 10, 0.5}, {61, 100, 10, 1}, {10, 10, 52, 2}} {
		p := piece(t, brick(0, c.x, 0, c.y, 0, c.z))
		l := lay(p.Mesh, p.Up, nil)
		over, ok := l.fits(s.Bed)
		if ok != (c.over == 0) || math.Abs(over-c.over) > 1e-9 {
			t.Errorf("%g x %g x %g: over %g, fits %v", c.x, c.y, c.z, over, ok)
		}
	}
}

// A leaning post: its middle of mass lies over its foot, or not.
func TestStands(t *testing.T) {
	for _, c := range []struct {
		far    float64
		stands bool
	}{{5, true}, {60, false}} {
		p := piece(t, join(brick(0, 10, 0, 10, 0, 20), brick(0, c.far+10, 0, 10, 20, 30)))
		l := lay(p.Mesh, p.Up, nil)
		if l.stands() != c.stands {
			t.Errorf("arm of %g mm: stands %v", c.far, !c.stands)
		}
		near(t, "contact", l.contact(), 100, 1e-9)
	}
}

// Heights against whole layers of 0.2 mm: 5 is a layer, 5.07 comes out 0.07 low.
func TestLevels(t *testing.T) {
	s := Default()
	p := piece(t, join(brick(0, 20, 0, 10, 0, 5), brick(0, 10, 0, 10, 0, 9.07)))
	l := lay(p.Mesh, p.Up, nil)
	top := -1
	for i := range l.m.T {
		if l.highest(i) == l.lowest(i) && l.lowest(i) > 9 {
			top = i
		}
	}
	ls := l.levels([]Slide{{Triangle: top, Gap: 0.25, Other: 7}}, &s)
	if len(ls) != 1 {
		t.Fatalf("levels %+v", ls)
	}
	near(t, "off", ls[0].Off, -0.07, 1e-3)
	near(t, "area", ls[0].Area, 100, 1e-6)
	if ls[0].Other != 7 || ls[0].Gap != 0.25 || ls[0].Down {
		t.Errorf("%+v", ls[0])
	}
}

// A way up that only touches a trifle less of a sliding face is not offered; one that
// touches much less is.
func TestCompareTrifle(t *testing.T) {
	of := func(name string, inSlide, minutes float64) WayUp {
		return WayUp{Name: name, Fits: true, Stands: true, Contact: 100, InSlide: inSlide, Estimate: Estimate{Minutes: minutes}}
	}
	given := of("as drawn", 8, 38)
	if best, why := compare(&given, []WayUp{of("+z down", 6, 38.2)}); best != -1 || len(why) == 0 {
		t.Errorf("%d, %q", best, why)
	}
	if best, why := compare(&given, []WayUp{of("+z down", 4, 38.2)}); best != 0 || len(why) == 0 {
		t.Errorf("%d, %q", best, why)
	}
}
