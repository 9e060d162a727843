package clearance

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// The bounds are attacked with the definition itself: at random places of random
// cells, the distances of all pairs of triangles, the sides by counting crossings
// of a ray, and for depths a dense net of points on both surfaces. Nothing of the
// engines is used but the mechanism's own poses.

// oracle bounds the signed clearance of two meshes in place: lo <= c <= hi, apart
// by no more than the mesh of the net where they cross.
func oracle(a, b *mesh.Mesh, net float64) (lo, hi float64) {
	least := math.Inf(1)
	for i := range a.T {
		ta := a.Triangle(i)
		for j := range b.T {
			tb := b.Triangle(j)
			d, _, _ := ta.Distance(&tb)
			least = min(least, d)
		}
	}
	if least > 0 && !shellWithin(a, b) && !shellWithin(b, a) {
		return least, least
	}
	deep := max(deepest(a, b, net), deepest(b, a, net))
	return -deep - net, -deep
}

// shellWithin tells whether some vertex of m lies inside o; for surfaces that do
// not cross.
func shellWithin(m, o *mesh.Mesh) bool {
	for _, v := range m.V {
		if rayInside(o, v) {
			return true
		}
	}
	return false
}

// rayInside counts how often a ray in a skew direction leaves, less how often it
// enters: the winding number, positive inside the union of outward shells. Method:
// T. Möller and B. Trumbore, J. Graphics Tools 2 (1997) 21, for each triangle.
func rayInside(m *mesh.Mesh, p geom.Vec) bool {
	dir := geom.Vec{X: 0.41371, Y: 0.33917, Z: 0.84491}
	n := 0
	for i := range m.T {
		t := m.Triangle(i)
		e1, e2 := r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0])
		h := r3.Cross(dir, e2)
		det := r3.Dot(e1, h)
		s := r3.Sub(p, t[0])
		u := r3.Dot(s, h) / det
		q := r3.Cross(s, e1)
		v := r3.Dot(dir, q) / det
		if u < 0 || v < 0 || u+v > 1 || r3.Dot(e2, q)/det <= 0 {
			continue
		}
		if det < 0 { // the ray leaves through an outward triangle
			n++
		} else {
			n--
		}
	}
	return n > 0
}

// deepest is the greatest depth in o of a net of points on m, spaced by at most
// net so that no point of m is farther than net from one of them.
func deepest(m, o *mesh.Mesh, net float64) float64 {
	box := o.Bounds()
	best := 0.0
	for i := range m.T {
		t := m.Triangle(i)
		long := 0.0
		for k := range t {
			long = max(long, norm(r3.Sub(t[k], t[(k+1)%3])))
		}
		n := int(long/net) + 1
		for a := 0; a <= n; a++ {
			for b := 0; a+b <= n; b++ {
				u, w := float64(a)/float64(n), float64(b)/float64(n)
				p := r3.Add(r3.Scale(1-u-w, t[0]), r3.Add(r3.Scale(u, t[1]), r3.Scale(w, t[2])))
				if p.X < box.Lo.X || p.Y < box.Lo.Y || p.Z < box.Lo.Z || p.X > box.Hi.X || p.Y > box.Hi.Y || p.Z > box.Hi.Z {
					continue
				}
				d := math.Inf(1)
				for j := range o.T {
					s := o.Triangle(j)
					q, _ := s.Closest(p)
					d = min(d, r3.Norm2(r3.Sub(p, q)))
				}
				if d = math.Sqrt(d); d > best && rayInside(o, p) {
					best = d
				}
			}
		}
	}
	return best
}

// signedBrute is the signed distance of p to o.
func signedBrute(o *mesh.Mesh, p geom.Vec) float64 {
	d := math.Inf(1)
	for j := range o.T {
		s := o.Triangle(j)
		q, _ := s.Closest(p)
		d = min(d, norm(r3.Sub(p, q)))
	}
	if rayInside(o, p) {
		return -d
	}
	return d
}

// scene is a pair with all that the attack needs.
type scene struct {
	name  string
	mech  *mechanism.Mechanism
	a, b  *mesh.Mesh
	width float64
}

// configuration is one that has the given coordinates.
func configuration(m *mechanism.Mechanism, coords []Coord, x []float64, r *rand.Rand) []float64 {
	q := make([]float64, len(m.Travels))
	for i, c := range coords {
		// all but the first term anywhere within their limits
		rest := x[i]
		for _, t := range c.Terms[1:] {
			tr := &m.Travels[t.Travel]
			q[t.Travel] = tr.Lo + (tr.Hi-tr.Lo)*r.Float64()
			rest -= float64(t.Sign) * q[t.Travel]
		}
		q[c.Terms[0].Travel] = rest * float64(c.Terms[0].Sign)
	}
	return q
}

// relative places part 1's mesh as part 2 at rest sees it, by the mechanism's own
// poses.
func relative(m *mechanism.Mechanism, q []float64) geom.Motion {
	return m.Pose(1, q).Then(m.Pose(2, q).Inverse())
}

// attack refines the map of the scene and holds random places of it to the
// oracle.
func attack(t *testing.T, s *scene, seed int64, needs []float64, points int, net float64) {
	t.Helper()
	mp := mapOf(t, s.mech, s.a, s.b)
	mp.local = seed%2 == 1
	if err := mp.Refine(context.Background(), needs, s.width); err != nil {
		t.Fatal(err)
	}
	hold(t, s, mp, seed, needs, points, net, true)
}

// hold holds random places of a map to the oracle, and, if all is said to be known, the
// size of what is left open.
func hold(t *testing.T, s *scene, mp *Map, seed int64, needs []float64, points int, net float64, known bool) {
	t.Helper()
	var cells []Cell
	for c := range mp.Cells() {
		cells = append(cells, c)
	}
	r := rand.New(rand.NewSource(seed))
	coords := mp.Coords()
	for range points {
		c := &cells[r.Intn(len(cells))]
		x := make([]float64, len(coords))
		for i := range x {
			u := r.Float64()
			if r.Intn(4) == 0 {
				u = math.Round(u)
			}
			x[i] = c.Lo[i] + (c.Hi[i]-c.Lo[i])*u
		}
		q := configuration(s.mech, coords, x, r)
		lo, hi := oracle(s.a.Moved(relative(s.mech, q)), s.b, net)
		if c.Lower > hi+1e-6 || c.Upper < lo-1e-6 {
			t.Fatalf("%s: at %v in cell %v to %v: clearance %g to %g, bounds %g to %g", s.name, x, c.Lo[:len(x)], c.Hi[:len(x)], lo, hi, c.Lower, c.Upper)
		}
		if known && c.Upper-c.Lower > s.width*1.0001 && c.At(needs[0]) == Undecided {
			within := 0.0
			for i := range x {
				within = max(within, c.Hi[i]-c.Lo[i])
			}
			if within > 4*s.width {
				t.Errorf("%s: cell %v to %v of size %g left at %g to %g", s.name, c.Lo[:len(x)], c.Hi[:len(x)], within, c.Lower, c.Upper)
			}
		}
		el, eu, err := mp.At(q)
		if err != nil || el > hi+1e-6 || eu < lo-1e-6 || c.Lower > eu || c.Upper < el || eu-el > 2e-6 {
			t.Fatalf("%s: at %v: exact %g to %g, oracle %g to %g, cell %g to %g (%v)", s.name, x, el, eu, lo, hi, c.Lower, c.Upper, err)
		}
	}
	for _, need := range needs {
		proved(t, s, mp, need, r)
	}
}

// proved holds the witnesses at need to the distance of a point by all triangles.
func proved(t *testing.T, s *scene, mp *Map, need float64, r *rand.Rand) {
	t.Helper()
	n := 0
	for c, w := range mp.Witnesses(need) {
		if n++; n%7 != 0 && n > 20 {
			continue
		}
		x := make([]float64, len(mp.Coords()))
		for i := range x {
			x[i] = c.Lo[i] + (c.Hi[i]-c.Lo[i])*r.Float64()
		}
		g := relative(s.mech, configuration(s.mech, mp.Coords(), x, r))
		o, p := s.b, g.Apply(w.Point)
		if !w.OnA {
			inv := g.Inverse()
			o, p = s.a, inv.Apply(w.Point)
		}
		if d := signedBrute(o, p); d > c.Upper+1e-6 || d >= need {
			t.Fatalf("%s at need %g: witness %+v at %v is at %g, bound %g", s.name, need, w, x, d, c.Upper)
		}
	}
}

// shapes are small solids of different kinds about the origin, 2 to 3 mm large.
func shapes(r *rand.Rand) *mesh.Mesh {
	switch r.Intn(4) {
	case 0:
		return block(-1, 1, -0.7, 0.8, -0.9, 1)
	case 1:
		return prism(ngon(5+r.Intn(4), 1.1, r.Float64()), -1, 0.8)
	case 2:
		return tube(6+r.Intn(4), 0.8, 1.3, -0.6, 0.7)
	default:
		return join(block(-1.2, -0.4, -0.8, 0.8, -0.5, 0.5), block(0.5, 1.2, -0.6, 0.9, -0.7, 0.4))
	}
}

func turn(l geom.Line, lo, hi float64) mechanism.Travel {
	return mechanism.Travel{Kind: mechanism.Turn, Axis: l, Lo: lo, Hi: hi}
}

// randomMotion is a random turn with a shift of up to d.
func randomMotion(r *rand.Rand, d float64) geom.Motion {
	axis := r3.Unit(v(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()))
	m := geom.Rotation(geom.Line{Dir: axis}, r.Float64()*6)
	return m.Then(geom.Translation(v(d*(2*r.Float64()-1), d*(2*r.Float64()-1), d*(2*r.Float64()-1))))
}

func randomDir(r *rand.Rand) geom.Vec {
	return r3.Unit(v(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()))
}

// scenes makes one scene of every kind of motion.
func scenes(r *rand.Rand) []scene {
	line := func(d float64) geom.Line {
		return geom.Line{Point: v(d*r.NormFloat64(), d*r.NormFloat64(), d*r.NormFloat64()), Dir: randomDir(r)}
	}
	helix := func(l geom.Line) mechanism.Travel {
		return mechanism.Travel{Kind: mechanism.Helix, Axis: l, Lo: -1, Hi: 1.5, Lead: 1.5}
	}
	x, y, z := v(1, 0, 0), v(0, 1, 0), v(0, 0, 1)
	ax := line(0.5)
	off := line(1)
	list := []scene{
		{"one slide", pairing([]mechanism.Travel{slide(randomDir(r), -3, 3)}, nil), nil, nil, 0.05},
		{"parallel slides", pairing([]mechanism.Travel{slide(x, -1, 2)}, []mechanism.Travel{slide(x, -1, 1)}), nil, nil, 0.05},
		{"two slides", pairing([]mechanism.Travel{slide(x, -3, 3)}, []mechanism.Travel{slide(y, -2, 2)}), nil, nil, 0.1},
		{"three slides", pairing([]mechanism.Travel{slide(x, -1, 1), slide(randomDir(r), -1, 1)}, []mechanism.Travel{slide(z, -0.5, 1)}), nil, nil, 0.3},
		{"rod", pairing([]mechanism.Travel{slide(ax.Dir, -2, 2), fullTurn(ax)}, nil), nil, nil, 0.1},
		{"rings", pairing([]mechanism.Travel{fullTurn(ax)}, []mechanism.Travel{fullTurn(geom.Line{Point: ax.Point, Dir: r3.Scale(-1, ax.Dir)}), slide(ax.Dir, -2, 1)}), nil, nil, 0.1},
		{"limited turns", pairing([]mechanism.Travel{turn(ax, -1, 1)}, []mechanism.Travel{turn(ax, 0, 1.5)}), nil, nil, 0.05},
		{"screw", pairing([]mechanism.Travel{helix(ax)}, nil), nil, nil, 0.05},
		{"screw and slide", pairing([]mechanism.Travel{helix(ax)}, []mechanism.Travel{slide(ax.Dir, -1, 1)}), nil, nil, 0.1},
		{"swing", pairing([]mechanism.Travel{turn(off, -2, 2)}, nil), nil, nil, 0.05},
		{"slide and swing", pairing([]mechanism.Travel{slide(x, -2, 2)}, []mechanism.Travel{turn(off, -1, 1)}), nil, nil, 0.1},
		{"two axes", pairing([]mechanism.Travel{fullTurn(off)}, []mechanism.Travel{turn(ax, -1, 2)}), nil, nil, 0.1},
		{"turn, helix, slide", pairing([]mechanism.Travel{turn(off, -0.2, 0.3), helix(line(0.3))}, []mechanism.Travel{slide(y, -0.2, 0.2)}), nil, nil, 0.6},
	}
	for i := range list {
		list[i].a = shapes(r).Moved(randomMotion(r, 0.8))
		list[i].b = shapes(r).Moved(randomMotion(r, 0.8))
	}
	return list
}

// TestBoundsAgainstBruteForce attacks every kind of motion at many thresholds.
func TestBoundsAgainstBruteForce(t *testing.T) {
	seeds, width := int64(2), 0.06
	if testing.Short() { // with the race detector, which makes it last minutes
		seeds, width = 1, 0.12
	}
	for seed := range seeds {
		for _, s := range scenes(rand.New(rand.NewSource(seed))) {
			t.Run(fmt.Sprintf("%s %d", s.name, seed), func(t *testing.T) {
				attack(t, &s, seed, []float64{-0.3, -0.1, 0, 0.1, 0.25}, 12, width)
			})
		}
	}
}

// What is found blocked at an overlap by a look for that alone holds against brute
// force, and it finds something wherever a full look does with cells as large.
func TestBlockedAgainstBruteForce(t *testing.T) {
	if testing.Short() {
		t.Skip("long with the race detector, which uses -short; the plain run has it")
	}
	for _, s := range scenes(rand.New(rand.NewSource(1))) {
		t.Run(s.name, func(t *testing.T) {
			const need = -0.3
			count := func(mp *Map) (n int) {
				for c := range mp.Cells() {
					if c.Upper < need {
						n++
					}
				}
				return n
			}
			var full, alone *Map
			for i, mp := range []**Map{&full, &alone} {
				*mp = mapOf(t, s.mech, s.a, s.b)
				err := (*mp).Refine(context.Background(), []float64{0}, s.width)
				if err == nil && i == 0 {
					err = full.Refine(context.Background(), []float64{need}, s.width)
				} else if err == nil {
					err = alone.RefineBlocked(context.Background(), need, s.width)
				}
				if err != nil {
					t.Fatal(err)
				}
			}
			hold(t, &s, alone, 3, []float64{need}, 12, 0.06, false)
			if count(full) > 0 && count(alone) == 0 {
				t.Errorf("%d cells are blocked at %g, and none was found", count(full), need)
			}
		})
	}
	mp := mapOf(t, pairing([]mechanism.Travel{slide(v(1, 0, 0), 0, 10)}, nil), block(0, 1, 0, 1, 0, 1), block(4, 8, -3, 4, -3, 4))
	if mp.RefineBlocked(context.Background(), 0.1, 0.5) == nil || mp.RefineBlocked(context.Background(), -0.1, 0) == nil {
		t.Error("a need above 0 or no width is taken")
	}
}
