package mesh

import (
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// A sweep leaves out no pair of triangles that meet on the way: every pair is moved in
// small steps and its distance asked each time, without any tree.
func TestSweepPairsMissesNone(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	soup := func(n int) *Mesh { // triangles that need not hang together
		m := &Mesh{}
		for range n {
			at := randomVec(r, 8)
			for range 3 {
				m.V = append(m.V, r3.Add(at, randomVec(r, 1.5)))
			}
			k := int32(len(m.V))
			m.T = append(m.T, [3]int32{k - 3, k - 2, k - 1})
		}
		return m
	}
	met := 0
	for round := range 60 {
		a, b := soup(30), soup(30)
		g := geom.Rotation(geom.Line{Point: randomVec(r, 3), Dir: r3.Unit(randomVec(r, 1))}, 6*r.Float64())
		w := Sweep{Push: randomVec(r, 1)}
		if round%2 == 1 {
			w = Sweep{Spin: randomVec(r, 1), Centre: randomVec(r, 5)}
		}
		type pair struct{ a, b geom.Triangle }
		given := map[pair]bool{}
		NewTree(a).SweepPairs(NewTree(b), g, w, 1, func(x, y *geom.Triangle, end float64) float64 {
			given[pair{*x, *y}] = true
			return end
		})
		for i := range a.T {
			for j := range b.T {
				x, y := a.Triangle(i), b.Triangle(j)
				for k := range x {
					x[k] = g.Apply(x[k])
				}
				for step := range 50 {
					to := w.At(float64(step) / 50)
					z := geom.Triangle{to.Apply(x[0]), to.Apply(x[1]), to.Apply(x[2])}
					if d, _, _ := z.Distance(&y); d > 0 {
						continue
					}
					met++
					if !given[pair{x, y}] {
						t.Fatalf("round %d: triangles %d and %d meet at %g and were left out", round, i, j, float64(step)/50)
					}
					break
				}
			}
		}
		if n := len(a.T) * len(b.T); len(given) == n {
			t.Errorf("round %d: all %d pairs were given", round, n)
		}
	}
	if met < 150 {
		t.Errorf("only %d pairs met", met)
	}
}

// The bend of the path of a point that turns is told: along every direction it keeps
// within what Velocity says.
func TestSweepVelocity(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range 2000 {
		w := Sweep{Push: randomVec(r, 1)}
		if r.IntN(2) == 0 {
			w = Sweep{Spin: randomVec(r, 2), Centre: randomVec(r, 5)}
		}
		p, n, at := randomVec(r, 10), r3.Unit(randomVec(r, 1)), r.Float64()
		g := w.At(at)
		far := r3.Dot(n, r3.Sub(g.Apply(p), p))
		v, bend := w.Velocity(p)
		if off := math.Abs(far - at*r3.Dot(n, v)); off > bend*at*at/2+1e-9 {
			t.Fatalf("%+v: %g off at %g, bend %g", w, off, at, bend)
		}
	}
}
