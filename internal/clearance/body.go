package clearance

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Body is a part prepared for clearance: its mesh with adjacency, normals,
// shells and search trees. It is built once a part and shared by all its pairs;
// it is safe for use by several goroutines.
type Body struct {
	mesh   *mesh.Mesh
	normal []geom.Vec    // of the triangles; zero for one without area
	edge   [][3]geom.Vec // pseudonormals of the edges from corner k to k+1
	vertex []geom.Vec    // angle-weighted pseudonormals of the vertices
	doubt  []bool        // vertices of triangles without area: their pseudonormals mislead
	shell  []int32       // of every triangle
	shells []shell
	buried []bool // vertices inside another shell of the same part; nil with one shell
	mixed  []bool // flats not wholly on the surface; nil with one shell
	flats  []flat
	flatOf []int32 // of the triangles; -1 for one without area
	scale  float64
	spread []int32 // vertices on the surface, spread over the body
	first  []int32 // around[first[v]:first[v+1]] are the vertices joined to v
	around []int32
	fan    []int32 // likewise the triangles at v

	mu    sync.Mutex
	forms map[geom.Line]*form // by axis; the zero line stands for none
}

// shell is one closed connected surface.
type shell struct {
	tris   []int32 // with area
	probe  int32   // a vertex; not buried if the shell has such a one
	buried bool    // every vertex is buried
	cavity bool    // faces inwards
	box    geom.Box
}

// errEmpty is returned for a mesh without triangles.
var errEmpty = errors.New("the mesh has no triangles")

// NewBody prepares a mesh. It must be closed and consistently oriented: every
// directed edge occurs once, and once the other way; the error names a place
// where that fails. Shells may be nested or overlap: the part is their union.
func NewBody(m *mesh.Mesh) (*Body, error) {
	if len(m.T) == 0 {
		return nil, errEmpty
	}
	b := &Body{mesh: m, forms: map[geom.Line]*form{}}
	for i, v := range m.V {
		s := max(math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z))
		if !(s < 1e6) { // NaN as well
			return nil, fmt.Errorf("vertex %d at (%g, %g, %g) is no place within a kilometre", i, v.X, v.Y, v.Z)
		}
		b.scale = max(b.scale, s)
	}
	twin, err := b.twins()
	if err != nil {
		return nil, err
	}
	b.normals(twin)
	b.flatten(twin)
	b.findShells()
	for s := range b.shells {
		if len(b.shells[s].tris) == 0 {
			p := b.shells[s].box.Lo
			return nil, fmt.Errorf("a shell near (%.4g, %.4g, %.4g) has no area", p.X, p.Y, p.Z)
		}
	}
	if len(b.shells) > 1 {
		b.findBuried()
		b.findMixed()
	}
	b.choose()
	b.sow()
	b.link()
	return b, nil
}

// twins lists for every directed edge 3*triangle+k the one that runs the other way.
func (b *Body) twins() ([]int32, error) {
	m := b.mesh
	at := make(map[[2]int32]int32, 3*len(m.T))
	for i, t := range m.T {
		for k := range t {
			p, q := t[k], t[(k+1)%3]
			if p < 0 || int(p) >= len(m.V) {
				return nil, fmt.Errorf("triangle %d names vertex %d of %d", i, p, len(m.V))
			}
			e := [2]int32{p, q}
			if _, dup := at[e]; dup || p == q {
				v := m.V[p]
				return nil, fmt.Errorf("not a two-manifold: more than two triangles meet at an edge near (%.4g, %.4g, %.4g)", v.X, v.Y, v.Z)
			}
			at[e] = int32(3*i + k)
		}
	}
	twin := make([]int32, 3*len(m.T))
	for i, t := range m.T {
		for k := range t {
			o, ok := at[[2]int32{t[(k+1)%3], t[k]}]
			if !ok {
				v := m.V[t[k]]
				return nil, fmt.Errorf("not closed: an open edge near (%.4g, %.4g, %.4g)", v.X, v.Y, v.Z)
			}
			twin[3*i+k] = o
		}
	}
	return twin, nil
}

// normals computes the pseudonormals that decide on which side a point lies
// (J. Bærentzen and H. Aanæs, IEEE Trans. Visualization 11 (2005) 243).
func (b *Body) normals(twin []int32) {
	m := b.mesh
	b.normal = make([]geom.Vec, len(m.T))
	b.edge = make([][3]geom.Vec, len(m.T))
	b.vertex = make([]geom.Vec, len(m.V))
	b.doubt = make([]bool, len(m.V))
	for i, t := range m.T {
		tri := m.Triangle(i)
		b.normal[i] = tri.Normal()
		for k := range t {
			if b.normal[i] == (geom.Vec{}) {
				b.doubt[t[k]] = true
				continue
			}
			u, w := r3.Unit(r3.Sub(tri[(k+1)%3], tri[k])), r3.Unit(r3.Sub(tri[(k+2)%3], tri[k]))
			angle := math.Acos(max(-1, min(1, r3.Dot(u, w))))
			b.vertex[t[k]] = r3.Add(b.vertex[t[k]], r3.Scale(angle, b.normal[i]))
		}
	}
	for i := range m.T {
		for k := range 3 {
			b.edge[i][k] = r3.Add(b.normal[i], b.normal[twin[3*i+k]/3])
		}
	}
}

// findShells splits the triangles into connected surfaces.
func (b *Body) findShells() {
	m := b.mesh
	up := make([]int32, len(m.V))
	for i := range up {
		up[i] = int32(i)
	}
	find := func(i int32) int32 {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	for _, t := range m.T {
		r := find(t[0])
		up[find(t[1])] = r
		up[find(t[2])] = r
	}
	id := make([]int32, len(m.V))
	b.shell = make([]int32, len(m.T))
	var volume []float64
	for i, t := range m.T {
		r := find(t[0])
		if id[r] == 0 {
			b.shells = append(b.shells, shell{box: geom.EmptyBox(), probe: t[0]})
			volume = append(volume, 0)
			id[r] = int32(len(b.shells))
		}
		s := id[r] - 1
		b.shell[i] = s
		for k := range t {
			b.shells[s].box = b.shells[s].box.Add(m.V[t[k]])
		}
		volume[s] += r3.Dot(m.V[t[0]], r3.Cross(m.V[t[1]], m.V[t[2]]))
		if b.normal[i] != (geom.Vec{}) {
			b.shells[s].tris = append(b.shells[s].tris, int32(i))
		}
	}
	for s := range b.shells {
		b.shells[s].cavity = volume[s] < 0
	}
}

// findBuried marks the vertices of every shell that lie inside the part because
// of its other shells: they are not on its surface.
func (b *Body) findBuried() {
	b.buried = make([]bool, len(b.mesh.V))
	seen := make([]bool, len(b.mesh.V))
	f := b.form(geom.Line{})
	for s := range b.shells {
		b.shells[s].buried = true
		for _, i := range b.shells[s].tris {
			for _, v := range b.mesh.T[i] {
				if !seen[v] {
					seen[v] = true
					b.buried[v] = f.covered(b.mesh.V[v], int32(s))
				}
				b.shells[s].buried = b.shells[s].buried && b.buried[v]
			}
		}
	}
}

// findMixed marks the flats that another shell of the body covers or crosses.
func (b *Body) findMixed() {
	b.mixed = make([]bool, len(b.flats))
	f := b.form(geom.Line{})
	for i, g := range b.flatOf {
		if g < 0 || b.mixed[g] {
			continue
		}
		t := b.mesh.Triangle(i)
		for _, v := range b.mesh.T[i] {
			b.mixed[g] = b.mixed[g] || b.buried[v]
		}
		box := f.boxOf(int32(i))
		for s := range f.roots {
			if int32(s) != b.shell[i] && !b.mixed[g] {
				b.mixed[g] = f.meets(&t, &box, f.roots[s])
			}
		}
	}
}

// meets tells whether the triangle t with the box b comes to the subtree n of a
// form in cartesian coordinates.
func (f *form) meets(t *geom.Triangle, b *[6]float64, n int32) bool {
	nd := &f.nodes[n]
	for k := range 3 {
		if b[k] > nd.box[3+k] || nd.box[k] > b[3+k] {
			return false
		}
	}
	if nd.left >= 0 {
		return f.meets(t, b, nd.left) || f.meets(t, b, nd.next)
	}
	u := f.triangle(nd.next)
	d, _, _ := t.Distance(&u)
	return d <= 1e-9
}

// choose sets the probe of every shell: the vertex farthest from the middle of
// its box, where a box test most often tells that it is outside the other part.
func (b *Body) choose() {
	for s := range b.shells {
		sh := &b.shells[s]
		mid, best := r3.Scale(0.5, r3.Add(sh.box.Lo, sh.box.Hi)), -1.0
		for _, i := range sh.tris {
			for _, v := range b.mesh.T[i] {
				if b.buried != nil && b.buried[v] {
					continue
				}
				if d := r3.Norm2(r3.Sub(b.mesh.V[v], mid)); d > best {
					best, sh.probe = d, v
				}
			}
		}
	}
}

// link lists the neighbours of every vertex: each directed edge gives one.
func (b *Body) link() {
	b.first = make([]int32, len(b.mesh.V)+1)
	for _, t := range b.mesh.T {
		for k := range t {
			b.first[t[k]+1]++
		}
	}
	for v := range b.mesh.V {
		b.first[v+1] += b.first[v]
	}
	b.around = make([]int32, b.first[len(b.mesh.V)])
	b.fan = make([]int32, len(b.around))
	at := append([]int32(nil), b.first...)
	for i, t := range b.mesh.T {
		for k := range t {
			b.around[at[t[k]]] = t[(k+1)%3]
			b.fan[at[t[k]]] = int32(i)
			at[t[k]]++
		}
	}
}

// spreadSize is how many vertices of a body are tried as witnesses in large cells.
const spreadSize = 24

// sow picks vertices far from each other, each the farthest from those before.
func (b *Body) sow() {
	far := make([]float64, len(b.mesh.V))
	for i := range far {
		far[i] = math.Inf(-1)
	}
	for s := range b.shells {
		for _, i := range b.shells[s].tris {
			for _, v := range b.mesh.T[i] {
				if b.buried == nil || !b.buried[v] {
					far[v] = math.Inf(1)
				}
			}
		}
	}
	next := b.shells[0].probe
	for range spreadSize {
		b.spread = append(b.spread, next)
		p, best := b.mesh.V[next], 0.0
		for i, v := range b.mesh.V {
			if far[i] <= best {
				continue
			}
			if d := r3.Norm2(r3.Sub(v, p)); d < far[i] {
				far[i] = d
			}
			if far[i] > best {
				best, next = far[i], int32(i)
			}
		}
		if best == 0 {
			return
		}
	}
}

// isBuried tells whether vertex v lies within another shell of the body.
func (b *Body) isBuried(v int32) bool { return b.buried != nil && b.buried[v] }

// exposed tells whether all of flat g is on the surface of the body.
func (b *Body) exposed(g int32) bool { return b.mixed == nil || !b.mixed[g] }

// form is the body in the coordinates of an axis, built at the first request.
func (b *Body) form(axis geom.Line) *form {
	b.mu.Lock()
	defer b.mu.Unlock()
	f := b.forms[axis]
	if f == nil {
		f = newForm(b, axis)
		b.forms[axis] = f
	}
	return f
}
