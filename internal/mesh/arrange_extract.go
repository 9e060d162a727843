package mesh

import (
	"math"
	"slices"
)

// surface is the boundary of the result in exact points: closed, outward, and
// two-manifold by its vertex numbers; vertices that only touch are doubled.
type surface struct {
	*arrangement
	v     []int32 // point of each vertex
	t     [][3]int32
	plane []int32 // plane of each triangle
	flip  []bool  // the triangle turns negatively about its plane's normal
	twins []twin
}

// twin is an edge between two triangles that has, even after doubling, the
// same two vertices as an edge between two others: a contact that ends at
// both ends inside the material. It gets a middle vertex of its own.
type twin struct {
	f, g, a, b int32
}

// extract takes the triangles between a kept and a dropped cell.
func (c *cells) extract() (*surface, error) {
	s := &surface{arrangement: c.arrangement}
	for _, p := range c.parts {
		front, back := c.kept[c.front(p.region)], c.kept[c.back(p.region)]
		if front == back {
			continue
		}
		v := p.v
		if front {
			v[1], v[2] = v[2], v[1]
		}
		s.t = append(s.t, v)
		s.plane = append(s.plane, c.regions[p.region].plane)
		s.flip = append(s.flip, front)
	}
	return s, s.weld()
}

// weld gives every umbrella of triangles a vertex of its own. Where more than
// two triangles meet in an edge, those with material between them are paired.
func (s *surface) weld() error {
	corner := newForest(3 * len(s.t))
	at := func(f, p int32) int32 {
		for k, q := range s.t[f] {
			if p == q {
				return 3*f + int32(k)
			}
		}
		panic("mesh: edge lost its corner")
	}
	var failed *Unresolved
	var contacts []contact
	corners := func(i int) [3]int32 { return s.t[i] }
	eachEdge(len(s.pts.pts), len(s.t), corners, func(a, b int32, h []halfEdge) {
		pairs, ok := s.pairUp(a, b, h)
		if !ok && failed == nil {
			failed = unresolvedAt(&s.pts.pts[a].f, "the result is not closed along an edge")
		}
		for _, p := range pairs {
			corner.join(at(p[0], a), at(p[1], a))
			corner.join(at(p[0], b), at(p[1], b))
		}
		if len(pairs) > 1 {
			c := contact{}
			for _, p := range pairs {
				c.edges = append(c.edges, [4]int32{p[0], p[1], at(p[0], a), at(p[0], b)})
			}
			contacts = append(contacts, c)
		}
	})
	if failed != nil {
		return failed
	}
	number := make([]int32, len(corner))
	for i := range corner {
		if c := corner.find(int32(i)); c == int32(i) {
			number[i] = int32(len(s.v))
			s.v = append(s.v, s.t[i/3][i%3])
		} else {
			number[i] = number[c] // the class is led by its least corner
		}
	}
	for i := range s.t {
		for k := range 3 {
			s.t[i][k] = number[3*i+k]
		}
	}
	s.findTwins(contacts, number)
	return nil
}

// contact is an edge at which the result touches itself: the pairs of
// triangles around it, each with its corners there.
type contact struct {
	edges [][4]int32
}

func (s *surface) findTwins(contacts []contact, number []int32) {
	for _, c := range contacts {
		seen := map[[2]int32]bool{}
		same := false
		for _, e := range c.edges {
			v := [2]int32{number[e[2]], number[e[3]]}
			same = same || seen[v]
			seen[v] = true
		}
		if !same {
			continue
		}
		for _, e := range c.edges {
			s.twins = append(s.twins, twin{e[0], e[1], number[e[2]], number[e[3]]})
		}
	}
}

// pairUp pairs the triangles around the edge ab across the material.
func (s *surface) pairUp(a, b int32, h []halfEdge) ([][2]int32, bool) {
	if len(h) == 2 {
		return [][2]int32{{h[0].part, h[1].part}}, h[0].forward != h[1].forward
	}
	spokes := make([]spoke, len(h))
	for i, e := range h {
		spokes[i] = spoke{s.plane[e.part], e.forward != s.flip[e.part], int32(i)}
	}
	ok := len(h)%2 == 0 && s.turnAround(a, b, spokes)
	var pairs [][2]int32
	for i, sp := range spokes {
		e, f := h[sp.what], h[spokes[(i+1)%len(spokes)].what]
		if !e.forward { // its back, the material, lies ahead
			ok = ok && f.forward
			pairs = append(pairs, [2]int32{e.part, f.part})
		}
	}
	return pairs, ok && len(pairs)*2 == len(h)
}

// snap rounds the vertices to the grid.
func (s *surface) snap() *gridMesh {
	g := &gridMesh{p: make([][3]int64, len(s.v)), t: slices.Clone(s.t), out: make([][3]float64, len(s.t))}
	for i, pl := range s.plane {
		n := s.planes[pl].nf
		l := norm3(n)
		if s.flip[i] {
			l = -l
		}
		g.out[i] = [3]float64{n[0] / l, n[1] / l, n[2] / l}
	}
	for i, id := range s.v {
		for k, f := range s.pts.pts[id].f {
			g.p[i][k] = int64(math.RoundToEven(f))
		}
	}
	pieces := map[int32][]int32{}
	for _, w := range s.twins {
		g.divide(w, pieces)
	}
	return g
}

// divide gives the edge of w a middle vertex. pieces knows into what earlier
// calls have divided a triangle.
func (g *gridMesh) divide(w twin, pieces map[int32][]int32) {
	m := int32(len(g.p))
	var mid [3]int64
	for k := range mid {
		mid[k] = (g.p[w.a][k] + g.p[w.b][k]) >> 1
	}
	g.p = append(g.p, mid)
	for _, f := range [2]int32{w.f, w.g} {
		if pieces[f] == nil {
			pieces[f] = []int32{f}
		}
		for _, i := range pieces[f] {
			t := g.t[i]
			if !has(t, w.a) || !has(t, w.b) {
				continue
			}
			g.t[i] = replaced(t, w.a, m)
			pieces[f] = append(pieces[f], int32(len(g.t)))
			g.t = append(g.t, replaced(t, w.b, m))
			g.out = append(g.out, g.out[i])
			break
		}
	}
}

func replaced(t [3]int32, from, to int32) [3]int32 {
	for k := range t {
		if t[k] == from {
			t[k] = to
		}
	}
	return t
}

// gridMesh is a mesh in grid units.
type gridMesh struct {
	p   [][3]int64
	t   [][3]int32
	out [][3]float64 // outward unit normal of each triangle's plane before rounding
}

func (g *gridMesh) mesh() *Mesh {
	m := &Mesh{}
	number := make([]int32, len(g.p))
	for _, t := range g.t {
		for k, v := range t {
			if number[v] == 0 {
				m.V = append(m.V, fromGrid(g.p[v]))
				number[v] = int32(len(m.V))
			}
			t[k] = number[v] - 1
		}
		m.T = append(m.T, t)
	}
	return m
}
