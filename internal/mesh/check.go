package mesh

import (
	"fmt"
	"math"
	"runtime"
	"slices"

	"feint/internal/geom"
)

// DefectKind tells what is wrong with a mesh.
type DefectKind uint8

// The kinds of defect.
const (
	NotFinite         DefectKind = iota // a coordinate is NaN or infinite
	BadCorner                           // a triangle names a vertex that does not exist
	Degenerate                          // triangles without area
	Duplicate                           // the same triangle more than once
	Hole                                // edges with one triangle only
	Flipped                             // neighbours that face opposite ways
	NonManifoldEdge                     // more than two triangles on an edge
	NonManifoldVertex                   // surfaces that touch in a vertex only
	InsideOut                           // a shell that faces inwards and is no hollow
	SelfCrossing                        // triangles of one shell that cross
	ShellOverlap                        // shells that cross or hold each other
	TooFar                              // beyond Reach; named by Arrange, not by Check
)

// String names the kind in a few words.
func (k DefectKind) String() string {
	names := [...]string{
		"not finite", "bad corner", "degenerate", "duplicate", "hole", "flipped", "non-manifold edge",
		"non-manifold vertex", "inside out", "self-crossing", "shells overlap", "too far",
	}
	if int(k) < len(names) {
		return names[k]
	}
	return fmt.Sprintf("defect %d", uint8(k))
}

// Defect is one thing that keeps a mesh from being the clean boundary of a
// solid. Harmless ones leave no doubt about what is inside: the winding number
// of the shells decides, and Arrange and Resolve take such meshes.
type Defect struct {
	Kind      DefectKind
	At        geom.Vec // a place on it, mm
	Triangles []int32  // the triangles concerned
	Harmless  bool
}

// String tells the defect in a maker's words.
func (d Defect) String() string {
	n := len(d.Triangles)
	what := ""
	switch d.Kind {
	case NotFinite:
		return fmt.Sprintf("%s a coordinate that is not a number", count(n, "triangle has", "triangles have"))
	case BadCorner:
		return fmt.Sprintf("%s a vertex that does not exist", count(n, "triangle names", "triangles name"))
	case Degenerate:
		what = count(n, "triangle without area", "triangles without area")
	case Duplicate:
		what = fmt.Sprintf("the same triangle %d times", n)
	case Hole:
		what = fmt.Sprintf("a hole bordered by %s", count(n, "triangle", "triangles"))
	case Flipped:
		what = fmt.Sprintf("%d triangles beside each other that face opposite ways", n)
	case NonManifoldEdge:
		what = fmt.Sprintf("%d triangles meet at edges that should have two each, as where bodies touch along an edge", n)
	case NonManifoldVertex:
		what = "the surface touches itself in a single vertex"
	case InsideOut:
		what = fmt.Sprintf("a shell of %s faces inwards", count(n, "triangle", "triangles"))
	case SelfCrossing:
		what = "the surface crosses itself"
		if n > 2 {
			what = fmt.Sprintf("%d more triangles cross others, the first", n)
		}
	case ShellOverlap:
		what = "two shells overlap; they are taken as one solid"
	case TooFar:
		what = fmt.Sprintf("a coordinate beyond %d mm", Reach)
	}
	return what + " near " + at(d.At)
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Check lists the defects of m by kind, then by place in the mesh; none means
// that m is closed, two-manifold, outward facing and free of
// self-intersection.
func Check(m *Mesh) []Defect {
	c := checker{m: m}
	if c.values(); len(c.out) > 0 {
		return c.out
	}
	c.topology()
	shells := m.Shells()
	c.crossings(m.shellOf(shells))
	c.facing(shells)
	slices.SortStableFunc(c.out, func(a, b Defect) int { return int(a.Kind) - int(b.Kind) })
	return c.out
}

// checker gathers the defects of one mesh.
type checker struct {
	m   *Mesh
	out []Defect
}

// values finds what no further check could stand.
func (c *checker) values() {
	var odd, bad []int32
	for i, t := range c.m.T {
		for _, v := range t {
			if v < 0 || int(v) >= len(c.m.V) {
				bad = append(bad, int32(i))
				break
			}
			p := c.m.V[v]
			if s := p.X - p.X + p.Y - p.Y + p.Z - p.Z; s != 0 { // NaN where one is not finite
				odd = append(odd, int32(i))
				break
			}
		}
	}
	if len(odd) > 0 {
		c.out = append(c.out, Defect{Kind: NotFinite, Triangles: odd, At: c.firstFinite(odd[0])})
	}
	if len(bad) > 0 {
		c.out = append(c.out, Defect{Kind: BadCorner, Triangles: bad})
	}
}

// firstFinite is a corner of triangle i that is finite, or zero.
func (c *checker) firstFinite(i int32) geom.Vec {
	for _, v := range c.m.T[i] {
		if p := c.m.V[v]; !math.IsNaN(p.X - p.X + p.Y - p.Y + p.Z - p.Z) {
			return p
		}
	}
	return geom.Vec{}
}

// listed is the most self-crossings that Check lists one by one.
const listed = 20

// crossings finds triangles that cross, within a shell and between shells, and
// triangles without area.
func (c *checker) crossings(shell []int32) {
	x := newCrossings(c.m)
	var flat []int32
	for i, f := range x.flat {
		if f {
			flat = append(flat, int32(i))
		}
	}
	if len(flat) > 0 {
		c.out = append(c.out, Defect{Kind: Degenerate, At: c.m.middle(flat[0]), Triangles: flat, Harmless: true})
	}
	seen := map[[2]int32]bool{}
	var more []int32
	n := 0
	for _, p := range x.find(0, runtime.GOMAXPROCS(0)) {
		a, b := shell[p[0]], shell[p[1]]
		if a != b {
			key := [2]int32{min(a, b), max(a, b)}
			if !seen[key] {
				seen[key] = true
				c.out = append(c.out, Defect{Kind: ShellOverlap, At: c.between(p), Triangles: p[:], Harmless: true})
			}
			continue
		}
		if n++; n > listed {
			more = append(more, p[:]...)
			continue
		}
		c.out = append(c.out, Defect{Kind: SelfCrossing, At: c.between(p), Triangles: []int32{p[0], p[1]}})
	}
	if len(more) > 0 {
		c.out = append(c.out, Defect{Kind: SelfCrossing, At: c.m.middle(more[0]), Triangles: distinct(more)})
	}
}

// between is the middle of what the boxes of two triangles share.
func (c *checker) between(p [2]int32) geom.Vec {
	var b [2]geom.Box
	for k, i := range p {
		b[k] = geom.EmptyBox()
		for _, v := range c.m.Triangle(int(i)) {
			b[k] = b[k].Add(v)
		}
	}
	mid := func(l, h, l2, h2 float64) float64 { return (max(l, l2) + min(h, h2)) / 2 }
	return geom.Vec{
		X: mid(b[0].Lo.X, b[0].Hi.X, b[1].Lo.X, b[1].Hi.X),
		Y: mid(b[0].Lo.Y, b[0].Hi.Y, b[1].Lo.Y, b[1].Hi.Y),
		Z: mid(b[0].Lo.Z, b[0].Hi.Z, b[1].Lo.Z, b[1].Hi.Z),
	}
}

func distinct(l []int32) []int32 {
	slices.Sort(l)
	return slices.Compact(l)
}
