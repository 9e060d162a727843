package meshfile

import (
	"fmt"

	"feint/internal/mesh"
)

// verticesPerTriangle: three is a mesh whose triangles share nothing.
const verticesPerTriangle = 3

// meshSize counts vertices and triangles.
type meshSize struct{ v, t int64 }

type resolveState uint8

const (
	fresh resolveState = iota
	underway
	resolved
)

// solidKind tells whether objects of a type are the thing itself; the other
// types of the core specification (support, surface and so on) are not.
func solidKind(kind string) bool { return kind == "model" }

// build puts the items of the build together. Sizes are added up before any
// memory is taken: a few components of components can ask for any number of copies.
func (r *reader3) build(root string) error {
	if len(r.items) == 0 {
		return &Error{File: r.p.name, Place: root, What: "the file builds nothing: its build has no item", Do: doPlain}
	}
	var sum meshSize
	for _, it := range r.items {
		ob, err := r.find(it, root)
		if err != nil {
			return err
		}
		if err := r.measure(ob); err != nil {
			return err
		}
		sum.t, sum.v = sum.t+ob.size.t, sum.v+ob.size.v
		if err := r.within(sum, root, it.line); err != nil {
			return err
		}
	}
	for i, it := range r.items {
		if err := r.item(i, it); err != nil {
			return err
		}
	}
	if len(r.file.Objects) == 0 {
		return &Error{File: r.p.name, Place: root, What: "the file builds no object of type model", Do: doPlain}
	}
	return nil
}

func (r *reader3) find(c ref3, from string) (*object3, error) {
	if ob := r.objects[c.key]; ob != nil {
		return ob, nil
	}
	where := ""
	if c.key.part != from {
		where = " of " + c.key.part
	}
	return nil, &Error{
		File: r.p.name, Place: fmt.Sprintf("%s, line %d", from, c.line),
		What: fmt.Sprintf("there is no object %d%s", c.key.id, where), Do: doAgain,
	}
}

func (r *reader3) within(s meshSize, part string, line int) error {
	if s.t <= int64(r.p.o.Triangles) && s.v <= verticesPerTriangle*int64(r.p.o.Triangles) {
		return nil
	}
	return tooManyTriangles(r.p.name, fmt.Sprintf("%s, line %d, with copies", part, line), max(s.t, s.v/verticesPerTriangle), r.p.o)
}

// measure adds up the size of an object and refuses circles and towers.
func (r *reader3) measure(ob *object3) error {
	fault := func(what string) error {
		return &Error{File: r.p.name, Place: fmt.Sprintf("%s, line %d", ob.key.part, ob.line), What: what, Do: doAgain}
	}
	switch ob.state {
	case resolved:
		return nil
	case underway:
		return fault(fmt.Sprintf("object %d is a component of itself", ob.key.id))
	case fresh:
	}
	ob.state = underway
	if ob.mesh != nil {
		ob.size = meshSize{int64(len(ob.mesh.V)), int64(len(ob.mesh.T))}
	}
	for _, c := range ob.comps {
		sub, err := r.find(c, ob.key.part)
		if err != nil {
			return err
		}
		if err := r.measure(sub); err != nil {
			return err
		}
		ob.size.v, ob.size.t = ob.size.v+sub.size.v, ob.size.t+sub.size.t
		if err := r.within(ob.size, ob.key.part, c.line); err != nil {
			return err
		}
		if ob.height = max(ob.height, sub.height+1); ob.height > r.p.o.Depth {
			return fault(fmt.Sprintf("components nested deeper than %d", r.p.o.Depth))
		}
	}
	ob.state = resolved
	return nil
}

// item puts build item i together.
func (r *reader3) item(i int, it ref3) error {
	ob := r.objects[it.key]
	o := Object{Name: ob.name, Mesh: &mesh.Mesh{V: make([]vec, 0, ob.size.v), T: make([][3]int32, 0, ob.size.t)}}
	if err := r.place(ob, it.move, &o); err != nil {
		return err
	}
	if len(o.Mesh.T) == 0 {
		return nil // nothing of it is of type model; the notes say so
	}
	if o.Name == "" {
		if o.Name = it.partNumber; o.Name == "" {
			o.Name = fmt.Sprintf("%s %d", baseName(r.p.name), i+1)
		}
	}
	r.file.Objects = append(r.file.Objects, o)
	return nil
}

// place adds a measured object, carried by move, to o.
func (r *reader3) place(ob *object3, move affine, o *Object) error {
	if r.placed++; r.placed > r.p.o.Entries {
		return &Error{
			File: r.p.name, Place: fmt.Sprintf("%s, line %d", ob.key.part, ob.line),
			What: fmt.Sprintf("more than %d objects once all copies are made", r.p.o.Entries), Do: doSmaller,
		}
	}
	if !solidKind(ob.kind) {
		r.note(ob)
		return nil
	}
	if ob.mesh != nil {
		return r.carry(ob, move, o.Mesh)
	}
	for i, c := range ob.comps {
		sub := r.objects[c.key]
		v, t, at := len(o.Mesh.V), len(o.Mesh.T), len(o.Pieces)
		name := sub.name
		if name == "" {
			name = fmt.Sprintf("%s %d", ob.name, i+1)
		}
		o.Pieces = append(o.Pieces, Piece{Name: name, V: [2]int{v, v}, T: [2]int{t, t}})
		if err := r.place(sub, c.move.then(move), o); err != nil {
			return err
		}
		o.Pieces[at].V[1], o.Pieces[at].T[1] = len(o.Mesh.V), len(o.Mesh.T)
	}
	return nil
}

// note tells once of an object that is left out.
func (r *reader3) note(ob *object3) {
	if !ob.noted {
		ob.noted = true
		r.file.Notes = append(r.file.Notes, fmt.Sprintf("object %d %s left out: it is of type %s", ob.key.id, quoteWord(ob.name), quoteWord(ob.kind)))
	}
}

// carry adds the mesh of ob to m, moved and in mm. A mirroring transform turns
// the corners round, so that outside stays outside (core specification, section 4.1).
func (r *reader3) carry(ob *object3, move affine, m *mesh.Mesh) error {
	fit := move.scaled(r.mm)
	base := int32(len(m.V))
	for i, v := range ob.mesh.V {
		v = fit.apply(v)
		if what := badPoint(v, r.p.o.Extent); what != "" {
			return &Error{
				File: r.p.name, Place: fmt.Sprintf("%s, line %d", ob.key.part, ob.line),
				What: fmt.Sprintf("vertex %d of object %d, once in place, %s", i, ob.key.id, what), Do: doNumbers,
			}
		}
		m.V = append(m.V, v)
	}
	mirrored := fit.det() < 0
	for _, t := range ob.mesh.T {
		if mirrored {
			t[1], t[2] = t[2], t[1]
		}
		m.T = append(m.T, [3]int32{t[0] + base, t[1] + base, t[2] + base})
	}
	return nil
}
