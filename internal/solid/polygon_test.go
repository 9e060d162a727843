package solid

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A triangulation has n + 2 h - 2 triangles, all turning the same way, and their
// areas add up to the polygon's (Euler's formula; the shoelace formula).
func TestTriangulate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, "x") }
		n := rapid.IntRange(12, 40).Draw(t, "n")
		var outer []point
		for i := range n {
			outer = append(outer, polar(num(6, 12), 2*math.Pi*float64(i)/float64(n)))
		}
		ls := [][]point{outer}
		// holes in a grid of cells within the circle of radius 5
		for i := range rapid.IntRange(0, 9).Draw(t, "holes") {
			c := point{float64(i%3-1) * 2.2, float64(i/3-1) * 2.2}
			var hole []point
			k := rapid.IntRange(3, 8).Draw(t, "k")
			for j := range k {
				hole = append(hole, c.add(polar(num(0.2, 1), -2*math.Pi*float64(j)/float64(k))))
			}
			ls = append(ls, hole)
		}
		var at []point
		want := 0.0
		for _, l := range ls {
			at = append(at, l...)
			want += area(l)
		}
		ts := triangulate(ls)
		if len(ts) != len(at)+2*(len(ls)-1)-2 {
			t.Fatalf("%d triangles of %d points and %d holes", len(ts), len(at), len(ls)-1)
		}
		got := 0.0
		for _, x := range ts {
			a := turn(at[x[0]], at[x[1]], at[x[2]]) / 2
			if a < -1e-12 {
				t.Fatalf("triangle %v turns the wrong way", x)
			}
			got += a
		}
		if math.Abs(got-want) > 1e-9 {
			t.Fatalf("area %g, want %g", got, want)
		}
	})
}

// Holes in rows are joined by edges on one line, and several of them to one point:
// the count and the area as above.
func TestTriangulateRows(t *testing.T) {
	radii := [][]float64{
		{1, 1, 1},
		{0.25, 0.5, 1, 1, 1},
		{1, 1, 1},
		{1, 1, 1},
		{1, 1, 1, 1, 1, 1, 1, 1},
		{1, 1, 1},
		{1, 1, 1},
		{1, 1, 1, 0.2, 1, 0.25},
	}
	for n := range 1 << len(radii) {
		var outer []point
		for i := range 12 {
			outer = append(outer, polar(6, 2*math.Pi*float64(i)/12))
		}
		ls, count, want := [][]point{outer}, len(outer), area(outer)
		for i, rs := range radii {
			if n>>i&1 == 0 {
				continue
			}
			var hole []point
			for k, r := range rs {
				c := point{float64(i%3-1) * 2.2, float64(i/3-1) * 2.2}
				hole = append(hole, c.add(polar(r, -2*math.Pi*float64(k)/float64(len(rs)))))
			}
			ls, count, want = append(ls, hole), count+len(hole), want+area(hole)
		}
		var at []point
		for _, l := range ls {
			at = append(at, l...)
		}
		got := 0.0
		ts := triangulate(ls)
		for _, x := range ts {
			got += turn(at[x[0]], at[x[1]], at[x[2]]) / 2
		}
		if len(ts) != count+2*(len(ls)-1)-2 || math.Abs(got-want) > 1e-9 {
			t.Errorf("holes %b: %d triangles of area %g, want %d of %g", n, len(ts), got, count+2*(len(ls)-1)-2, want)
		}
	}
}

// Points on straight edges stay corners of triangles.
func TestTriangulateCollinear(t *testing.T) {
	var l []point
	for i := range 4 {
		a, b := square(4)[i], square(4)[(i+1)%4]
		for k := range 5 {
			l = append(l, mix(point{a.X, a.Y}, point{b.X, b.Y}, float64(k)/5))
		}
	}
	used := map[int]bool{}
	for _, x := range triangulate([][]point{l}) {
		if turn(l[x[0]], l[x[1]], l[x[2]]) <= 0 {
			t.Errorf("triangle %v has no area", x)
		}
		for _, i := range x {
			used[i] = true
		}
	}
	if len(used) != len(l) {
		t.Errorf("%d of %d points used", len(used), len(l))
	}
}

// The divided arc keeps the sector's area, r^2 sweep/2, within the tolerance.
func TestArcKeepsArea(t *testing.T) {
	for _, r := range []float64{0.3, 1, 2, 40} {
		for _, sweep := range []float64{0.05, 0.4, math.Pi / 2, math.Pi, 5} {
			for _, tol := range []float64{0.001, 0.004, 0.05, 0.5} {
				a := arc{point{1, 2}, r, 0.3, sweep}
				ps := slices.Concat([]point{a.c, a.c.add(polar(r, 0.3))}, a.inner(tol, false), []point{a.c.add(polar(r, 0.3+sweep))})
				if want := r * r * sweep / 2; len(ps) > 3 && math.Abs(area(ps)-want) > 1e-9*want {
					t.Errorf("r %g, sweep %g, tolerance %g: area %g, want %g", r, sweep, tol, area(ps), want)
				}
				for _, p := range ps[1:] {
					if d := p.sub(a.c).length() - r; d > tol+1e-12 || d < -1e-12 {
						t.Errorf("r %g, sweep %g: a corner %g off at tolerance %g", r, sweep, d, tol)
					}
				}
			}
		}
	}
}
