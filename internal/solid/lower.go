package solid

import (
	"errors"
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
	from   []mechanism.Pos // where in the design each mesh was drawn
	drawn  []bool          // whether each is drawn; else it comes from a file
	pos    mechanism.Pos   // of the primitive at hand
	file   bool            // whether that is a mesh file
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
		l.pos = s.Pos
		_, l.file = s.Prim.(mechanism.MeshFile)
		e, err := l.primitive(s, f)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.Pos, err)
		}
		return e, nil
	case mechanism.Join, mechanism.Cut, mechanism.Common:
		e := &expr{op: s.Op}
		var errs []error
		for _, a := range s.Args {
			x, err := l.lower(a, f)
			errs = append(errs, err)
			e.args = append(e.args, x)
		}
		return e, errors.Join(errs...)
	}
	return nil, fmt.Errorf("%s: unknown operation %d", s.Pos, s.Op)
}

// add takes a mesh of the primitive's frame in.
func (l *lowering) add(m *mesh.Mesh, f frame) *expr {
	if f.mirror != nil || f.move != geom.Identity() {
		o := &mesh.Mesh{V: make([]geom.Vec, len(m.V)), T: append([][3]int32(nil), m.T...)}
		for i, v := range m.V {
			o.V[i] = f.apply(v)
		}
		if f.flips() {
			flip(o)
		}
		m = o
	}
	l.meshes = append(l.meshes, m)
	l.from, l.drawn = append(l.from, l.pos), append(l.drawn, !l.file)
	return &expr{op: mechanism.Leaf, leaf: len(l.meshes) - 1}
}

// primitive facets one primitive.
func (l *lowering) primitive(s *mechanism.Shape, f frame) (*expr, error) {
	switch p := s.Prim.(type) {
	case mechanism.Block:
		return l.one(f)(facetBlock(p, l.o.Tolerance))
	case mechanism.Extrusion:
		return l.one(f)(facetExtrusion(p, l.o.Tolerance))
	case mechanism.Cylinder, mechanism.Cone, mechanism.Sphere, mechanism.Revolution:
		return l.turned(p, f)
	case mechanism.Groove, mechanism.Stroke, mechanism.Text:
		sheets, err := sheetsOf(p)
		if err != nil {
			return nil, err
		}
		return l.sweep(sheets, f)
	case mechanism.Thread:
		return l.thread(p, f)
	case mechanism.MeshFile:
		m, err := load(p, l.o)
		if err != nil {
			return nil, err
		}
		return l.add(m, f), nil
	}
	return nil, fmt.Errorf("unknown primitive %T", s.Prim)
}

// sheetsOf are the sheets of a primitive that follows paths.
func sheetsOf(p mechanism.Primitive) ([]*sheet, error) {
	var h *sheet
	var err error
	switch p := p.(type) {
	case mechanism.Groove:
		h, err = grooveSheet(p)
	case mechanism.Stroke:
		h, err = strokeSheet(p)
	case mechanism.Text:
		return textSheets(p)
	}
	return []*sheet{h}, err
}

func (l *lowering) one(f frame) func(*mesh.Mesh, error) (*expr, error) {
	return func(m *mesh.Mesh, err error) (*expr, error) {
		if err != nil {
			return nil, err
		}
		return l.add(m, f), nil
	}
}

// wholeAngle is the least angle that counts as a full turn.
const wholeAngle = 2*math.Pi - 1e-9

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
	if !ok || r.Angle >= wholeAngle {
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
