package mesh

import (
	"math"

	"feint/internal/geom"
)

// face is a triangle of one input, on the grid.
type face struct {
	v     [3]int32 // numbers of its points
	p     [3][3]int64
	solid int32
	plane int32
	turn  int8 // 1 where its corners turn positively about its plane's normal, else -1
}

// segment is a piece of the line in which another plane meets this one. A
// segment of a face's rim has no other plane (-1).
type segment struct {
	a, b  int32
	other int32
}

// sheet is what lies in one plane.
type sheet struct {
	faces []int32
	segs  []segment // where other faces cross
	pts   []int32   // where other faces only touch
	hit   bool      // anything but faces of one solid that touch nothing
}

// arrangement is the state that the stages of Arrange hand on.
type arrangement struct {
	solids  int
	crosses []bool // which solids may cross themselves
	pts     *pointTable
	faces   []face
	box     []bounds
	planes  []plane
	sheets  []sheet
	tree    *boxTree
	workers int
	stop    <-chan struct{}
	ridges  map[[2]int32]bool // edges, lower point first, at which faces of other planes meet a sheet
}

// toGrid rounds p to the grid.
func toGrid(p geom.Vec) [3]int64 {
	return [3]int64{
		int64(math.Round(p.X * Units)), int64(math.Round(p.Y * Units)), int64(math.Round(p.Z * Units)),
	}
}

func fromGrid(p [3]int64) geom.Vec {
	return geom.Vec{X: float64(p[0]) / Units, Y: float64(p[1]) / Units, Z: float64(p[2]) / Units}
}

// planeKey is a plane's primitive normal, the sign that makes its first
// component that is not zero positive, and its offset.
type planeKey struct {
	n [3]int64
	d i128
}

// loader rounds the solids to the grid and sorts their triangles by plane.
type loader struct {
	*arrangement
	byPlane map[planeKey]int32
	slivers [][3]int32 // triangles that rounding left without area
}

func newArrangement(solids []*Mesh, crosses []bool, o Options) *arrangement {
	n := 0
	for _, m := range solids {
		n += len(m.T)
	}
	a := &arrangement{
		solids: len(solids), crosses: crosses, workers: o.count(), stop: o.Stop,
		pts: newPointTable(2 * n), faces: make([]face, 0, n),
	}
	l := loader{arrangement: a, byPlane: make(map[planeKey]int32, n)}
	for i, m := range solids {
		l.load(int32(i), m)
	}
	a.box = make([]bounds, len(a.faces))
	for i := range a.faces {
		t := &a.faces[i]
		a.box[i] = boundsOf(&a.pts.pts[t.v[0]].f, &a.pts.pts[t.v[1]].f, &a.pts.pts[t.v[2]].f)
	}
	a.tree = newBoxTree(a.box)
	a.addSlivers(l.slivers)
	return a
}

func (l *loader) load(solid int32, m *Mesh) {
	ids := make([]int32, len(m.V))
	at := make([][3]int64, len(m.V))
	for i, v := range m.V {
		at[i] = toGrid(v)
		p := gridPoint(at[i])
		ids[i] = l.pts.id(&p)
	}
	for _, t := range m.T {
		f := face{solid: solid}
		for k, v := range t {
			f.v[k], f.p[k] = ids[v], at[v]
		}
		if f.v[0] == f.v[1] || f.v[1] == f.v[2] || f.v[2] == f.v[0] {
			continue
		}
		n := normal(&f.p)
		if n == ([3]int64{}) {
			l.slivers = append(l.slivers, f.v)
			continue
		}
		l.place(&f, n)
		l.faces = append(l.faces, f)
	}
}

// normal is exact: differences below 2^30, so components below 2^61.
func normal(p *[3][3]int64) [3]int64 {
	var u, v [3]int64
	for k := range 3 {
		u[k], v[k] = p[1][k]-p[0][k], p[2][k]-p[0][k]
	}
	return [3]int64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
}

// place finds or makes the plane of f.
func (l *loader) place(f *face, n [3]int64) {
	g := gcd(gcd(n[0], n[1]), n[2])
	f.turn = 1
	if n[0] < 0 || n[0] == 0 && (n[1] < 0 || n[1] == 0 && n[2] < 0) {
		g, f.turn = -g, -1
	}
	for k := range n {
		n[k] /= g
	}
	key := planeKey{n, dot128(n, f.p[0])}
	id, ok := l.byPlane[key]
	if !ok {
		id = int32(len(l.planes))
		l.byPlane[key] = id
		l.planes = append(l.planes, newPlane(n, f.p[0]))
		l.sheets = append(l.sheets, sheet{})
	}
	f.plane = id
	l.sheets[id].faces = append(l.sheets[id].faces, int32(len(l.faces)))
}

func gcd(a, b int64) int64 {
	if a < 0 {
		a = -a
	}
	if b < 0 {
		b = -b
	}
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// addSlivers sees to it that faces beside a triangle without area get its
// corners on their rims. The sliver itself bounds nothing and is left out.
func (a *arrangement) addSlivers(slivers [][3]int32) {
	for _, s := range slivers {
		var q [3]*[3]float64
		for k, v := range s {
			q[k] = &a.pts.pts[v].f
		}
		b := boundsOf(q[0], q[1], q[2])
		a.tree.touching(&b, func(i int32) {
			sh, pl := &a.sheets[a.faces[i].plane], &a.planes[a.faces[i].plane]
			for _, v := range s {
				if pl.side(&a.pts.pts[v]) == 0 {
					sh.pts = append(sh.pts, v)
					sh.hit = true
				}
			}
		})
	}
}
