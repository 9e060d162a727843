package field

import (
	"math"
	"testing"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func near(t testing.TB, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*max(1, math.Abs(want)) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

func v(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }

// Distances that elementary geometry gives.
func TestDistances(t *testing.T) {
	block := Block(v(-1, -2, -3), v(1, 2, 3))
	round := RoundedBlock(v(-1, -2, -3), v(1, 2, 3), 0.5, Edges{true, true, true})
	ring := Revolved(NewOutline([][]Corner{{{X: 6, Y: 0, Bulge: 1}, {X: 10, Y: 0, Bulge: 1}}}))
	cone := Revolved(NewOutline([][]Corner{{{}, {X: 3}, {Y: 4}}}))
	s5 := math.Sqrt(5)
	cases := []struct {
		name string
		f    Field
		p    geom.Vec
		want float64
	}{
		{"ball", Sphere(2), v(3, 4, 0), 3},
		{"block, face", block, v(0, 0, 5), 2},
		{"block, edge", block, v(2, 4, 0), s5},
		{"block, corner", block, v(2, 4, 5), 3},
		{"block, inside", block, v(0.2, 0, 0), -0.8},
		// the round of a corner is a ball of its radius about the inner corner
		{"rounded corner", round, v(0.5+3, 1.5+4, 2.5+12), 13 - 0.5},
		{"rounded edge", round, v(0.5+3, 1.5+4, 0), 5 - 0.5},
		{"ring, outside", ring, v(8, 0, 5), 3},
		{"ring, in its middle", ring, v(0, 8, 0), -2},
		{"ring, on the axis", ring, v(0, 0, 0), 6},
		{"ring, high on the axis", ring, v(0, 0, 6), 10 - 2},
		// the slant side 4 x + 3 y = 12
		{"cone, slant side", cone, v(3, 0, 4), 12.0 / 5},
		{"cone, inside on the axis", cone, v(0, 0, 1), -1},
		{"cone, below", cone, v(0, 1, -2), 2},
		{"shell", Shell(3, 5), v(0, 6, 9), 1},
		{"shell, hollow", Shell(3, 5), v(0, 1, 9), 2},
		{"sector", Sector(math.Pi / 2), v(1, -3, 0), 3},
		{"sector, inside", Sector(3 * math.Pi / 2), v(-2, 1, 0), -2},
		{"slab", Slab(1, 4), v(9, 9, 2), -1},
		{"half space", HalfSpace(geom.Line{Point: v(0, 0, 1), Dir: v(0, 0.6, 0.8)}), v(5, 1, 1), 0.6},
		{"cut", Cut(Sphere(3), Sphere(1)), v(0.5, 0, 0), 0.5},
		{"union", Union(Sphere(1), Place(Sphere(1), geom.Translation(v(5, 0, 0)))), v(4, 0, 0), 0},
		{"common", Common(Sphere(2), Slab(0, 1)), v(0, 0, 1.5), 0.5},
		{"mirror", Mirror(Place(Sphere(1), geom.Translation(v(5, 0, 0))), geom.Line{Point: v(1, 0, 0), Dir: v(1, 0, 0)}), v(-3, 2, 0), 1},
		{"placed", Place(block, geom.Rotation(geom.Line{Dir: v(0, 0, 1)}, math.Pi/2)), v(-4, 0, 0), 2},
		{"chamfer", ChamferedBlock(v(-2, -2, -2), v(2, 2, 2), 1, Edges{Vertical: true}), v(2, 2, 0), 1 / math.Sqrt2},
	}
	for _, c := range cases {
		near(t, c.name, c.f(c.p), c.want)
	}
}

// The outline's distance against the nearest of many points on it, and its sign
// against the figure's own inequality: a half disc with a round hole.
func TestOutline(t *testing.T) {
	o := NewOutline([][]Corner{{{X: -5, Y: 0, Bulge: 0}, {X: 5, Y: 0, Bulge: 1}}, {{X: -1, Y: 2, Bulge: -1}, {X: 1, Y: 2, Bulge: -1}}})
	var ps [][2]float64
	const n = 4000
	for i := range n + 1 {
		u := float64(i) / n
		s, c := math.Sincos(math.Pi * u)
		ps = append(ps, [2]float64{-5 + 10*u, 0}, [2]float64{5 * c, 5 * s}, [2]float64{c, 2 + s}, [2]float64{c, 2 - s})
	}
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.Float64Range(-7, 7).Draw(t, "x"), rapid.Float64Range(-3, 7).Draw(t, "y")
		best := math.Inf(1)
		for _, p := range ps {
			best = min(best, math.Hypot(x-p[0], y-p[1]))
		}
		d := o.Distance(x, y)
		if math.Abs(math.Abs(d)-best) > 0.01 {
			t.Fatalf("distance %g, points give %g", d, best)
		}
		inside := y > 0 && x*x+y*y < 25 && x*x+(y-2)*(y-2) > 1
		if best > 0.01 && (d < 0) != inside {
			t.Fatalf("inside is %v, distance %g", inside, d)
		}
	})
}

// pinPoints are points of the path, 5000 a run.
func pinPoints(path [][2]float64) [][2]float64 {
	var out [][2]float64
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		for k := range 5001 {
			s := float64(k) / 5000
			out = append(out, [2]float64{a[0] + s*(b[0]-a[0]), a[1] + s*(b[1]-a[1])})
		}
	}
	return out
}

// A track on a shaft against what it means: the distance from the nearest of the
// radial half-lines through the path's points, by vector algebra.
func TestTrackIsTheSweepOfAPin(t *testing.T) {
	path := [][2]float64{{0, 0}, {0, 6}, {1, 6}, {2.5, 12}, {-4, 18}}
	k := Track{Round: true, R: 6, Path: path, Width: 3}
	f, ps := k.Field(), pinPoints(path)
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(5, 10).Draw(t, "r")
		a := rapid.Float64Range(-4, 4).Draw(t, "angle")
		p := v(r*math.Cos(a), r*math.Sin(a), rapid.Float64Range(-5, 22).Draw(t, "z"))
		best := math.Inf(1)
		for _, q := range ps {
			d, from := v(math.Cos(q[0]), math.Sin(q[0]), 0), r3.Sub(p, v(0, 0, q[1]))
			if r3.Dot(d, from) < 0 {
				best = min(best, r3.Norm(from))
				continue
			}
			best = min(best, r3.Norm(r3.Cross(d, from)))
		}
		// points h apart miss the nearest by h/2 at most: by h^2/(8 best) of distance
		h := 0.014
		if got := f(p); math.Abs(got-(best-1.5)) > min(h/2, h*h/(8*best))+1e-6 {
			t.Fatalf("at %v: %g, the pins give %g", p, got, best-1.5)
		}
	})
}

// A roofed track against its meaning: some pin, lifted by some part of the roof
// at its height, holds the point.
func TestRoof(t *testing.T) {
	path := [][2]float64{{0, 0}, {0, 6}, {1, 6}, {2.5, 12}}
	for _, k := range []Track{
		{Round: true, R: 6, Path: path, Width: 3, Roof: 1, RoofAt: 6},
		{Round: true, R: 6, Path: path, Width: 3, Roof: -1, RoofAt: 9},
	} {
		f, ps := k.Field(), pinPoints(path)
		rapid.Check(t, func(t *rapid.T) {
			r := rapid.Float64Range(6, 9).Draw(t, "r")
			a := rapid.Float64Range(-0.5, 3).Draw(t, "angle")
			z := rapid.Float64Range(-3, 18).Draw(t, "z")
			inside, margin := false, math.Inf(1)
			for _, q := range ps {
				s, y := r*math.Cos(a-q[0]), r*math.Sin(a-q[0])
				if s < 0 {
					continue
				}
				lift := max(0, k.Roof*(s-k.RoofAt))
				h := z - q[1] - min(max(0, z-q[1]), lift)
				m := math.Hypot(y, h) - 1.5
				inside = inside || m < 0
				margin = min(margin, m)
			}
			d := f(v(r*math.Cos(a), r*math.Sin(a), z))
			if math.Abs(margin) > 1e-4 && (d < 0) != inside {
				t.Fatalf("field %g, the pins give %g", d, margin)
			}
			if math.Abs(d) > math.Abs(margin)+1e-4 {
				t.Fatalf("field %g exceeds %g", d, margin)
			}
		})
	}
}

// Square ends: what lies past the end of the path is outside.
func TestSquareEnds(t *testing.T) {
	f := Track{Round: true, R: 6, Path: [][2]float64{{0, 0}, {0, 10}, {2, 10}}, Width: 3, FlatEnds: true}.Field()
	near(t, "below the start", f(v(8, 0, -0.5)), 0.5)
	near(t, "above the start", f(v(8, 0, 0.5)), -0.5)
	near(t, "past the end", f(v(8*math.Cos(2.1), 8*math.Sin(2.1), 10)), 8*math.Sin(0.1))
	near(t, "before the end", f(v(8*math.Cos(1.9), 8*math.Sin(1.9), 10)), -8*math.Sin(0.1))
	g := Track{Path: [][2]float64{{0, 0}, {3, 4}}, Width: 2, FlatEnds: true}.Field()
	near(t, "flat", g(v(3+0.6, 4+0.8, 0)), 1)
}

// No field changes by more than the way between two points.
func TestFieldsAreBounds(t *testing.T) {
	fields := map[string]Field{
		"rounded block":   RoundedBlock(v(-3, -4, -5), v(3, 4, 5), 1, Edges{Top: true}),
		"half rounded":    RoundedBlock(v(-3, -4, -5), v(3, 4, 5), 1, Edges{Top: true, Vertical: true}),
		"chamfered block": ChamferedBlock(v(-3, -4, -5), v(3, 4, 5), 1, Edges{true, true, false}),
		"extrusion":       Extruded(NewOutline([][]Corner{{{X: -4}, {X: 4, Bulge: 0.5}}}), NewOutline([][]Corner{{{X: -4}, {X: 4, Bulge: 0.5}}}), 4, 0.5),
		"revolution":      Revolved(NewOutline([][]Corner{{{X: 2}, {X: 5, Bulge: 0.3}, {X: 3, Y: 4, Bulge: -0.2}}})),
		"track":           Track{Round: true, R: 6, Path: [][2]float64{{0, 0}, {0, 6}, {2, 9}}, Width: 3}.Field(),
		"roofed track":    Track{Path: [][2]float64{{0, 0}, {6, 6}}, Width: 3, Roof: 1, RoofAt: -2}.Field(),
	}
	point := func(t *rapid.T, s string) geom.Vec {
		g := rapid.Float64Range(-9, 9)
		return v(g.Draw(t, s+" x"), g.Draw(t, s+" y"), g.Draw(t, s+" z"))
	}
	for name, f := range fields {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			p, q := point(t, "p"), point(t, "q")
			if d, way := math.Abs(f(p)-f(q)), r3.Norm(r3.Sub(p, q)); d > way+1e-9 {
				t.Fatalf("the field changes by %g over %g mm", d, way)
			}
		}))
	}
}

// A thread's sign against its section, and its bound against a ridge's points.
func TestHelix(t *testing.T) {
	f := Helix(5, 6, 1.6, 0.4, -6, 2)
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(4.5, 6.5).Draw(t, "r")
		a := rapid.Float64Range(-3, 3).Draw(t, "angle")
		z := rapid.Float64Range(-10, 10).Draw(t, "z")
		p := v(r*math.Cos(a), r*math.Sin(a), z)
		// nearest ridge, by trying them
		off := math.Inf(1)
		for k := -20; k <= 20; k++ {
			off = min(off, math.Abs(z-(-6*a/(2*math.Pi)+3*float64(k))))
		}
		half := 0.8 - 0.6*(r-5)
		inside := r > 5 && r < 6 && off < half
		if d := f(p); (d < 0) != inside && math.Abs(d) > 1e-9 {
			t.Fatalf("inside is %v, field %g", inside, d)
		} else if r > 5 && r < 6 && math.Abs(d) > math.Abs(off-half)+1e-9 {
			t.Fatalf("field %g exceeds the height %g from the flank", d, off-half)
		}
	})
}
