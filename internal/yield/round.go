package yield

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/printed"
)

// round is how the wall to which a triangle belongs is curved in plan.
type round struct {
	curve    printed.Curve
	diameter float64
}

const (
	// uprightRise is up to which rise of its normal a triangle belongs to an
	// upright wall: a draft of 15 degrees.
	uprightRise = 0.26
	// sharpest is the turn from flat to flat beyond which a wall has a corner,
	// radians: a circle of 9 flats turns by 40 degrees.
	sharpest = 50 * math.Pi / 180
	// roundWithin is how far the corners of a wall may lie off a circle, as a share
	// of its radius, for it to be round.
	roundWithin = 0.02
	// leastTurn is how far round a wall must go to count as a hole or a peg: a
	// quarter of a turn.
	leastTurn = math.Pi / 2
)

// rounds finds for every triangle of a mesh whether it is part of the wall of an
// upright hole or peg, the mesh turned onto the plate: neighbouring upright flats
// that bend all the same way are one wall, and a wall whose corners lie on a
// circle is round.
func rounds(m *mesh.Mesh, turn geom.Motion) []round {
	w := &walls{m: m, root: make([]int, len(m.T)), normal: make([]geom.Vec, len(m.T)), plan: make([]geom.Vec, len(m.V))}
	for i := range w.root {
		w.root[i] = i
		t := m.Triangle(i)
		c := r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))
		if n := r3.Norm(c); n > 0 {
			w.normal[i] = turn.Turn(r3.Scale(1/n, c))
		} else {
			w.normal[i] = geom.Vec{Z: 1}
		}
	}
	for i, v := range m.V {
		w.plan[i] = turn.Apply(v)
	}
	edges := w.edges()
	out := make([]round, len(m.T))
	for _, k := range []struct {
		curve printed.Curve
		sign  float64
	}{{printed.Pin, 1}, {printed.Hole, -1}} {
		for i := range w.root {
			w.root[i] = i
		}
		for _, e := range edges {
			if e.bend*k.sign >= -flat {
				w.join(e.a, e.b)
			}
		}
		w.fit(k.curve, k.sign, edges, out)
	}
	return out
}

// flat is the bend below which neighbours are one plane, radians: meshes round
// their corners to 2^-16 mm, which turns a flat 0.1 mm wide by less.
const flat = 1e-3

type walls struct {
	m      *mesh.Mesh
	root   []int
	normal []geom.Vec // on the plate
	plan   []geom.Vec // corners on the plate
}

// edge is where two upright triangles meet; bend is positive where it is convex.
type edge struct {
	a, b int
	bend float64
}

func (w *walls) edges() []edge {
	first := map[[2]int32]int{}
	var out []edge
	for i, t := range w.m.T {
		if math.Abs(w.normal[i].Z) > uprightRise {
			continue
		}
		for k := range 3 {
			u, v := int32(t[k]), int32(t[(k+1)%3])
			if j, ok := first[[2]int32{v, u}]; ok {
				c := r3.Dot(w.normal[i], w.normal[j])
				// seen from triangle i the other lies behind its plane where convex
				third := w.third(j, v, u)
				s := -r3.Dot(w.normal[i], r3.Sub(w.plan[third], w.plan[u]))
				if a := math.Acos(max(-1, min(1, c))); a < sharpest {
					out = append(out, edge{i, j, math.Copysign(a, s)})
				}
			} else {
				first[[2]int32{u, v}] = i
			}
		}
	}
	return out
}

// third is the corner of triangle i that is neither u nor v.
func (w *walls) third(i int, u, v int32) int {
	for _, c := range w.m.T[i] {
		if int32(c) != u && int32(c) != v {
			return int(c)
		}
	}
	return int(u)
}

func (w *walls) find(i int) int {
	for w.root[i] != i {
		w.root[i] = w.root[w.root[i]]
		i = w.root[i]
	}
	return i
}

func (w *walls) join(a, b int) {
	a, b = w.find(a), w.find(b)
	w.root[max(a, b)] = min(a, b)
}

// fit fits a circle to every wall and notes those that are round.
func (w *walls) fit(curve printed.Curve, sign float64, edges []edge, out []round) {
	members := map[int][]int{}
	for i := range w.root {
		if math.Abs(w.normal[i].Z) <= uprightRise {
			r := w.find(i)
			members[r] = append(members[r], i)
		}
	}
	bent := map[int]bool{} // walls with a bend of this sign
	for _, e := range edges {
		if e.bend*sign > flat {
			bent[w.find(e.a)] = true
		}
	}
	for r, ts := range members {
		if !bent[r] || w.turned(ts) < leastTurn {
			continue
		}
		var ps [][2]float64
		for _, t := range ts {
			for _, c := range w.m.T[t] {
				ps = append(ps, [2]float64{w.plan[c].X, w.plan[c].Y})
			}
		}
		if radius, ok := circle(ps); ok {
			for _, t := range ts {
				out[t] = round{curve, 2 * radius}
			}
		}
	}
}

// turned is how far round the normals of triangles go, radians: the whole turn
// less the greatest gap between neighbouring directions.
func (w *walls) turned(ts []int) float64 {
	const parts = 72
	var seen [parts]bool
	for _, t := range ts {
		a := math.Atan2(w.normal[t].Y, w.normal[t].X)
		seen[((int(math.Floor(a/(2*math.Pi)*parts))%parts)+parts)%parts] = true
	}
	gap, run := 0, 0
	for i := range 2 * parts {
		if seen[i%parts] {
			run = 0
		} else {
			run++
			gap = max(gap, run)
		}
	}
	if gap > parts*2/9 { // 80 degrees: flats of a round wall turn by less than sharpest
		return float64(parts-min(gap, parts)) / parts * 2 * math.Pi
	}
	return 2 * math.Pi
}

// circle fits a circle to points in the plane (I. Kåsa, IEEE Trans. Instrum.
// Meas. 25 (1976) 8: least squares of x^2+y^2 = 2ax+2by+c) and tells whether they
// all lie on it.
func circle(ps [][2]float64) (radius float64, ok bool) {
	var mx, my float64
	for _, p := range ps {
		mx, my = mx+p[0], my+p[1]
	}
	n := float64(len(ps))
	mx, my = mx/n, my/n
	var xx, xy, yy, xz, yz, zz float64
	for _, p := range ps {
		x, y := p[0]-mx, p[1]-my
		z := x*x + y*y
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
		xz, yz, zz = xz+x*z, yz+y*z, zz+z
	}
	det := xx*yy - xy*xy
	if !(det > 1e-12*zz*zz) {
		return 0, false
	}
	a, b := (xz*yy-yz*xy)/(2*det), (yz*xx-xz*xy)/(2*det)
	radius = math.Sqrt(zz/n + a*a + b*b)
	for _, p := range ps {
		if math.Abs(math.Hypot(p[0]-mx-a, p[1]-my-b)-radius) > roundWithin*radius {
			return 0, false
		}
	}
	return radius, true
}
