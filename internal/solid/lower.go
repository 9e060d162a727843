package solid

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// expr is a drawing brought down to closed meshes: a leaf is number leaf of the
// meshes, everything else an operation on args.
type expr struct {
	op   mechanism.Op // Leaf, Join, Cut or Common
	leaf int
	args []*expr
}

// holds tells whether a point belongs to the drawing, from the meshes it is in.
func (e *expr) holds(in []bool) bool {
	switch e.op {
	case mechanism.Join:
		for _, a := range e.args {
			if a.holds(in) {
				return true
			}
		}
		return false
	case mechanism.Common:
		for _, a := range e.args {
			if !a.holds(in) {
				return false
			}
		}
		return true
	case mechanism.Cut:
		if !e.args[0].holds(in) {
			return false
		}
		for _, a := range e.args[1:] {
			if a.holds(in) {
				return false
			}
		}
		return true
	default:
		return in[e.leaf]
	}
}

// lowering turns a drawing into an expression over meshes.
type lowering struct {
	o      Options
	axes   []axis
	meshes []*mesh.Mesh
}

// frame is how a primitive's own frame stands in the drawing.
type frame struct {
	move   geom.Motion
	mirror *mirrored // outermost first; nil for none
}

// mirrored reflects in a plane of the outer frame, after which move applies.
type mirrored struct {
	outer frame
	plane geom.Line
}

// apply brings a point of the primitive's frame into the drawing.
func (f *frame) apply(p geom.Vec) geom.Vec {
	p = f.move.Apply(p)
	if f.mirror == nil {
		return p
	}
	h := r3.Dot(r3.Sub(p, f.mirror.plane.Point), f.mirror.plane.Dir)
	return f.mirror.outer.apply(r3.Sub(p, r3.Scale(2*h, f.mirror.plane.Dir)))
}

// flips tells whether the frame turns right hands into left ones.
func (f *frame) flips() bool {
	return f.mirror != nil && !f.mirror.outer.flips()
}

// lower brings the shape s down; f is the frame in which it stands.
func (l *lowering) lower(s *mechanism.Shape, f frame) (*expr, error) {
	switch s.Op {
	case mechanism.Place:
		return l.lower(s.Args[0], frame{s.Move.Then(f.move), f.mirror})
	case mechanism.Mirror:
		return l.lower(s.Args[0], frame{geom.Identity(), &mirrored{f, s.Plane}})
	case mechanism.Leaf:
		e, err := l.primitive(s, f)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.Pos, err)
		}
		return e, nil
	case mechanism.Join, mechanism.Cut, mechanism.Common:
		e := &expr{op: s.Op}
		for _, a := range s.Args {
			x, err := l.lower(a, f)
			if err != nil {
				return nil, err
			}
			e.args = append(e.args, x)
		}
		return e, nil
	}
	return nil, fmt.Errorf("%s: unknown operation %d", s.Pos, s.Op)
}

// add takes a mesh of the primitive's frame in.
func (l *lowering) add(m *mesh.Mesh, f frame) *expr {
	o := &mesh.Mesh{V: make([]geom.Vec, len(m.V)), T: append([][3]int32(nil), m.T...)}
	for i, v := range m.V {
		o.V[i] = f.apply(v)
	}
	if f.flips() {
		flip(o)
	}
	l.meshes = append(l.meshes, o)
	return &expr{op: mechanism.Leaf, leaf: len(l.meshes) - 1}
}

// primitive facets one primitive.
func (l *lowering) primitive(s *mechanism.Shape, f frame) (*expr, error) {
	tol := l.o.Tolerance
	switch p := s.Prim.(type) {
	case mechanism.Block:
		return l.one(f)(facetBlock(p, tol))
	case mechanism.Extrusion:
		return l.one(f)(facetExtrusion(p, tol))
	case mechanism.Cylinder, mechanism.Cone, mechanism.Sphere, mechanism.Revolution:
		return l.turned(p, f)
	case mechanism.Groove:
		return l.groove(p, f)
	case mechanism.Stroke:
		return l.stroke(p, f)
	case mechanism.Text:
		return l.text(p, f)
	case mechanism.Thread:
		return l.thread(p, f)
	case mechanism.MeshFile:
		m, err := load(p, s.Pos, l.o)
		if err != nil {
			return nil, err
		}
		return l.add(m, f), nil
	}
	return nil, fmt.Errorf("unknown primitive %T", s.Prim)
}

func (l *lowering) one(f frame) func(*mesh.Mesh, error) (*expr, error) {
	return func(m *mesh.Mesh, err error) (*expr, error) {
		if err != nil {
			return nil, err
		}
		return l.add(m, f), nil
	}
}

// turned facets a solid of revolution on the division of its axis.
func (l *lowering) turned(p mechanism.Primitive, f frame) (*expr, error) {
	ol, err := revolved(p)
	if err != nil {
		return nil, err
	}
	m, err := revolve(ol, l.circle(f), l.o.Tolerance)
	if err != nil {
		return nil, err
	}
	e := l.add(m, f)
	r, ok := p.(mechanism.Revolution)
	if !ok || r.Angle > 2*math.Pi-1e-9 {
		return e, nil
	}
	lo, hi := heights(m)
	w := l.add(wedge(r.Angle, widest(ol)+1, lo-1, hi+1), f)
	return &expr{op: mechanism.Common, args: []*expr{e, w}}, nil
}

func heights(m *mesh.Mesh) (lo, hi float64) {
	b := m.Bounds()
	return b.Lo.Z, b.Hi.Z
}

// thread is a helical ridge: lofted trapeziums.
func (l *lowering) thread(p mechanism.Thread, f frame) (*expr, error) {
	if err := positive("h", p.H, "root radius", p.Root, "crest radius", p.Crest, "root width", p.RootWidth, "crest width", p.CrestWidth); err != nil {
		return nil, err
	}
	if p.Starts < 1 || p.Lead == 0 || !finite(p.Lead) || p.Root == p.Crest {
		return nil, fmt.Errorf("a thread of %d starts, lead %g and height %g mm: give 1 or more starts, a lead and two different radii", p.Starts, p.Lead, p.Crest-p.Root)
	}
	if pitch := math.Abs(p.Lead) / float64(p.Starts); max(p.RootWidth, p.CrestWidth) >= pitch-tiny {
		return nil, fmt.Errorf("ridges %.4g mm wide meet at a pitch of %.4g mm: make them narrower or the lead larger", max(p.RootWidth, p.CrestWidth), pitch)
	}
	ridges := &expr{op: mechanism.Join}
	for k := range p.Starts {
		for _, m := range helicalRidge(p, l.circle(f), 2*math.Pi*float64(k)/float64(p.Starts), l.o.Tolerance) {
			ridges.args = append(ridges.args, l.add(m, f))
		}
	}
	slab := l.add(prism([]point{{-2 * p.Crest, -2 * p.Crest}, {2*p.Crest + 2*p.Root, -2 * p.Crest}, {2*p.Crest + 2*p.Root, 2*p.Crest + 2*p.Root}, {-2 * p.Crest, 2*p.Crest + 2*p.Root}}, 0, p.H), f)
	return &expr{op: mechanism.Common, args: []*expr{ridges, slab}}, nil
}

// helicalRidge is one ridge, drawn half a width beyond both ends and cut there
// later, in pieces of at most half a turn that overlap.
func helicalRidge(p mechanism.Thread, c circle, phase, tol float64) []*mesh.Mesh {
	margin := max(p.RootWidth, p.CrestWidth)
	total := (p.H + 2*margin) / math.Abs(p.Lead) * 2 * math.Pi
	// the quads of the flanks are twisted by lead step/(2 pi)/4: divide so that
	// this stays within a share of the tolerance
	n := max(c.n, int(math.Ceil(math.Abs(p.Lead)*math.Abs(p.Crest-p.Root)/max(p.Root, p.Crest)/(4*tol*share))))
	step := 2 * math.Pi / float64(n)
	count := int(math.Ceil(total / step))
	k := chordFactor(step)
	section := func(i int) []geom.Vec {
		th := float64(i) * step * math.Copysign(1, p.Lead)
		z := -margin + float64(i)*step/(2*math.Pi)*math.Abs(p.Lead)
		at := func(r, dz float64) geom.Vec {
			q := polar(r*k, th+phase)
			return geom.Vec{X: q.x, Y: q.y, Z: z + dz}
		}
		return []geom.Vec{at(p.Root, -p.RootWidth/2), at(p.Crest, -p.CrestWidth/2), at(p.Crest, p.CrestWidth/2), at(p.Root, p.RootWidth/2)}
	}
	var out []*mesh.Mesh
	for from := 0; from < count; from += n / 2 {
		b := newBuilder()
		to := min(count, from+n/2+1)
		for i := from; i < to; i++ {
			a, d := section(i), section(i+1)
			for j := range a {
				h := (j + 1) % len(a)
				if j%2 == 0 {
					b.quad(a[j], a[h], d[h], d[j])
				} else {
					b.quad2(a[j], a[h], d[h], d[j])
				}
			}
		}
		a, d := section(from), section(to)
		b.quad(a[0], a[3], a[2], a[1])
		b.quad(d[0], d[1], d[2], d[3])
		out = append(out, b.solid())
	}
	return out
}
