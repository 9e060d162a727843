package mesh

import (
	"testing"

	"pgregory.net/rapid"
)

// TestTriangulate draws points on a small lattice, where many are collinear, and
// edges between them that neither cross nor pass through points. The triangles
// must fill the frame without overlap and hold every edge.
func TestTriangulate(t *testing.T) {
	pl := newPlane([3]int64{0, 0, 1}, [3]int64{})
	rapid.Check(t, func(t *rapid.T) {
		type place [2]int64
		var at []place
		seen := map[place]bool{}
		for range rapid.IntRange(1, 60).Draw(t, "points") {
			p := place{rapid.Int64Range(0, 12).Draw(t, "x"), rapid.Int64Range(0, 12).Draw(t, "y")}
			if !seen[p] {
				seen[p] = true
				at = append(at, p)
			}
		}
		turn := func(a, b, c place) int {
			return signInt((b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0]))
		}
		dot := func(a, b, c place) int64 { return (b[0]-a[0])*(c[0]-a[0]) + (b[1]-a[1])*(c[1]-a[1]) }
		var ends [][2]int32
	next:
		for range rapid.IntRange(0, 40).Draw(t, "edges") {
			a := rapid.IntRange(0, len(at)-1).Draw(t, "from")
			b := rapid.IntRange(0, len(at)-1).Draw(t, "to")
			if a == b {
				continue
			}
			for i, p := range at {
				if i != a && i != b && turn(at[a], at[b], p) == 0 && dot(p, at[a], at[b]) < 0 {
					continue next
				}
			}
			for _, e := range ends {
				c, d := int(e[0]), int(e[1])
				if a == c && b == d || a == d && b == c ||
					turn(at[a], at[b], at[c])*turn(at[a], at[b], at[d]) < 0 && turn(at[c], at[d], at[a])*turn(at[c], at[d], at[b]) < 0 {
					continue next
				}
			}
			ends = append(ends, [2]int32{int32(a), int32(b)})
		}
		pts := make([]*point, len(at))
		for i, p := range at {
			q := gridPoint([3]int64{p[0], p[1], 0})
			pts[i] = &q
		}
		tr, err := triangulate(&pl, pts, ends)
		if err != nil {
			t.Fatal(err)
		}
		checkTriangulation(t, tr, ends)
	})
}

func checkTriangulation(t *rapid.T, tr *triangulation, ends [][2]int32) {
	// Euler: a rectangle with n points inside has 2n + 2 triangles
	if want := 2*(len(tr.p)-4) + 2; len(tr.tri) != want {
		t.Fatalf("%d triangles, want %d", len(tr.tri), want)
	}
	area := 0.0
	edges := map[[2]int32]int32{}
	for u, c := range tr.tri {
		a, b, d := tr.p[c[0]].f, tr.p[c[1]].f, tr.p[c[2]].f
		s := (b[0]-a[0])*(d[1]-a[1]) - (b[1]-a[1])*(d[0]-a[0])
		if s <= 0 {
			t.Fatalf("triangle %v does not turn positively", c)
		}
		area += s / 2
		for k := range 3 {
			edges[[2]int32{c[(k+1)%3], c[(k+2)%3]}] = tr.fix[u][k]
			if v := tr.nb[u][k]; v >= 0 && tr.fix[v][tr.slot(v, int32(u))] != tr.fix[u][k] {
				t.Fatalf("triangles %d and %d disagree about a constraint", u, v)
			}
		}
	}
	lo, hi := tr.p[0].f, tr.p[2].f
	if want := (hi[0] - lo[0]) * (hi[1] - lo[1]); area != want {
		t.Fatalf("area %g, want %g", area, want)
	}
	for i, e := range ends {
		f, ok := edges[[2]int32{e[0] + 4, e[1] + 4}]
		if !ok || f != int32(i+1) {
			t.Fatalf("edge %v is not there", e)
		}
	}
}
