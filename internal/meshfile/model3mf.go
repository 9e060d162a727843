package meshfile

import (
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"

	"feint/internal/mesh"
)

// maxID is the largest id or index (ST_ResourceID of the core schema).
const maxID = 1<<31 - 1

// model reads one model part; build items and metadata count only in the root.
func (r *reader3) model(part string, root bool) error {
	x, err := r.p.openXML(part)
	if err != nil {
		return err
	}
	defer x.close()
	open := func(e *xml.StartElement) error { return r.modelHead(x, e, root) }
	return x.documentWith("model", nsCore, open, func(e *xml.StartElement) error {
		if e.Name.Space != nsCore {
			return x.skip()
		}
		switch e.Name.Local {
		case "resources":
			return r.resources(x)
		case "metadata":
			if root {
				return r.metadata(x, e)
			}
		case "build":
			if root {
				return r.buildItems(x)
			}
		}
		return x.skip()
	})
}

// modelHead reads the unit and refuses files that need what is not followed.
func (r *reader3) modelHead(x *xmlPart, e *xml.StartElement, root bool) error {
	a, err := x.attrs(e)
	if err != nil {
		return err
	}
	unit, given := a["unit"]
	if !given {
		unit = "millimeter"
	}
	mm, ok := unitMM(unit)
	if !ok {
		return x.fault(fmt.Sprintf("unknown unit %s; 3MF knows micron, millimeter, centimeter, inch, foot and meter", quoteWord(unit)))
	}
	if root {
		r.file.Unit, r.mm = unit, mm
	} else if mm != r.mm {
		return x.fault(fmt.Sprintf("this model part is in %s, the main one in %s; they must agree", unit, r.file.Unit))
	}
	spaces := map[string]string{}
	for _, at := range e.Attr {
		if at.Name.Space == "xmlns" {
			spaces[at.Name.Local] = at.Value
		}
	}
	for _, prefix := range strings.Fields(a["requiredextensions"]) {
		switch spaces[prefix] {
		case nsProduction, nsMaterial, nsTriSets: // followed, or no matter for the shape
		default:
			return &Error{
				File: x.file, Place: x.place(x.line()),
				What: fmt.Sprintf("the file requires the 3MF extension %s (%s), which feint does not read", quoteWord(prefix), quoteWord(spaces[prefix])),
				Do:   doPlain,
			}
		}
	}
	return nil
}

func (r *reader3) metadata(x *xmlPart, e *xml.StartElement) error {
	a, err := x.attrs(e)
	if err != nil {
		return err
	}
	s, err := x.text()
	if err != nil {
		return err
	}
	if _, twice := r.file.Metadata[a["name"]]; !twice && len(r.file.Metadata) < r.p.o.Entries {
		r.file.Metadata[a["name"]] = s
	}
	return nil
}

func (r *reader3) resources(x *xmlPart) error {
	return x.children(func(e *xml.StartElement) error {
		if e.Name.Space == nsCore && e.Name.Local == "object" {
			return r.object(x, e)
		}
		return x.skip()
	})
}

func (r *reader3) object(x *xmlPart, e *xml.StartElement) error {
	ob := &object3{line: x.line()}
	a, err := x.attrs(e)
	if err != nil {
		return err
	}
	id, err := x.index(a, "object", "id")
	if err != nil {
		return err
	}
	ob.key = objectKey{x.part, id}
	if id == 0 {
		return x.fault("object id 0; ids count from 1")
	}
	if first := r.objects[ob.key]; first != nil {
		return x.fault(fmt.Sprintf("object id %d is given twice, first in line %d", id, first.line))
	}
	if len(r.objects) >= r.p.o.Entries {
		return x.fault(fmt.Sprintf("more than %d objects", r.p.o.Entries))
	}
	if ob.name = a["name"]; ob.name == "" {
		ob.name = a["partnumber"]
	}
	if ob.kind = a["type"]; ob.kind == "" {
		ob.kind = "model"
	}
	err = x.children(func(e *xml.StartElement) error {
		if e.Name.Space == nsCore && e.Name.Local == "mesh" {
			if ob.mesh != nil {
				return x.fault(fmt.Sprintf("object %d has two meshes", id))
			}
			return r.mesh(x, ob)
		}
		if e.Name.Space == nsCore && e.Name.Local == "components" {
			return r.components(x, ob)
		}
		return x.skip()
	})
	if err != nil {
		return err
	}
	if (ob.mesh == nil) == (len(ob.comps) == 0) {
		return x.faultAt(ob.line, fmt.Sprintf("object %d must have either a mesh or components", id))
	}
	r.objects[ob.key] = ob
	return nil
}

func (r *reader3) mesh(x *xmlPart, ob *object3) error {
	ob.mesh = &mesh.Mesh{}
	err := x.children(func(e *xml.StartElement) error {
		switch {
		case e.Name.Space == nsCore && e.Name.Local == "vertices":
			return r.vertices(x, ob)
		case e.Name.Space == nsCore && e.Name.Local == "triangles":
			return r.triangles(x, ob)
		}
		return x.skip()
	})
	if err != nil {
		return err
	}
	if len(ob.mesh.T) == 0 {
		return x.faultAt(ob.line, fmt.Sprintf("the mesh of object %d has no triangle", ob.key.id))
	}
	if m, joined := shared(ob.mesh); joined {
		ob.mesh = m
		r.file.Notes = append(r.file.Notes, fmt.Sprintf("object %d %s: its triangles shared no vertices where they meet; vertices of equal place now count as one",
			ob.key.id, quoteWord(ob.name)))
	}
	return nil
}

func (r *reader3) vertices(x *xmlPart, ob *object3) error {
	limit := int64(r.p.o.Triangles) * verticesPerTriangle
	return x.children(func(e *xml.StartElement) error {
		if e.Name.Space != nsCore || e.Name.Local != "vertex" {
			return x.skip()
		}
		if r.total.v++; r.total.v > limit {
			return x.fault(fmt.Sprintf("more than %d vertices", limit))
		}
		var v vec
		if err := x.numbers(e, []string{"x", "y", "z"}, []*float64{&v.X, &v.Y, &v.Z}); err != nil {
			return err
		}
		ob.mesh.V = append(ob.mesh.V, v)
		return x.skip()
	})
}

func (r *reader3) triangles(x *xmlPart, ob *object3) error {
	return x.children(func(e *xml.StartElement) error {
		if e.Name.Space != nsCore || e.Name.Local != "triangle" {
			return x.skip()
		}
		if r.total.t++; r.total.t > int64(r.p.o.Triangles) {
			return tooManyTriangles(x.file, x.place(x.line()), r.total.t, r.p.o)
		}
		a, err := x.attrs(e)
		if err != nil {
			return err
		}
		var t [3]int32
		for k, name := range [3]string{"v1", "v2", "v3"} {
			i, err := x.index(a, "triangle", name)
			if err != nil {
				return err
			}
			if int64(i) >= int64(len(ob.mesh.V)) {
				return x.fault(fmt.Sprintf("triangle %d of object %d names vertex %d, but the object has %d vertices (counted from 0)",
					len(ob.mesh.T)+1, ob.key.id, i, len(ob.mesh.V)))
			}
			t[k] = int32(i)
		}
		ob.mesh.T = append(ob.mesh.T, t)
		return x.skip()
	})
}

func (r *reader3) components(x *xmlPart, ob *object3) error {
	return x.children(func(e *xml.StartElement) error {
		if e.Name.Space != nsCore || e.Name.Local != "component" {
			return x.skip()
		}
		c, err := r.ref(x, e)
		if err != nil {
			return err
		}
		ob.comps = append(ob.comps, c)
		return x.skip()
	})
}

func (r *reader3) buildItems(x *xmlPart) error {
	return x.children(func(e *xml.StartElement) error {
		if e.Name.Space != nsCore || e.Name.Local != "item" {
			return x.skip()
		}
		it, err := r.ref(x, e)
		if err != nil {
			return err
		}
		if len(r.items) >= r.p.o.Entries {
			return x.fault(fmt.Sprintf("more than %d build items", r.p.o.Entries))
		}
		r.items = append(r.items, it)
		return x.skip()
	})
}

// ref reads a component or item. Its path, if it has one, is of the production
// extension (version 1.1, section 3): the object then stands in another part.
func (r *reader3) ref(x *xmlPart, e *xml.StartElement) (ref3, error) {
	c := ref3{line: x.line(), move: identityAffine()}
	a, err := x.attrs(e)
	if err != nil {
		return c, err
	}
	id, err := x.index(a, e.Name.Local, "objectid")
	if err != nil {
		return c, err
	}
	c.key = objectKey{x.part, id}
	c.partNumber = a["partnumber"]
	for _, at := range e.Attr {
		if at.Name.Space == nsProduction && at.Name.Local == "path" {
			if c.key.part, err = r.p.resolve("", at.Value); err != nil {
				return c, err
			}
			r.wanted = append(r.wanted, c.key.part)
		}
	}
	if t, ok := a["transform"]; ok {
		m, err := parseAffine(t)
		if err != nil {
			return c, x.fault(err.Error())
		}
		c.move = m
	}
	return c, nil
}

// numbers reads the attributes names, all of which must be there.
func (x *xmlPart) numbers(e *xml.StartElement, names []string, into []*float64) error {
	a, err := x.attrs(e)
	if err != nil {
		return err
	}
	for i, n := range names {
		s, ok := a[n]
		if !ok {
			return x.fault(fmt.Sprintf("%s without %s", e.Name.Local, n))
		}
		v, err := decimal(strings.TrimSpace(s))
		if err != nil {
			return &Error{File: x.file, Place: x.place(x.line()), What: fmt.Sprintf("%s of a %s: %v", n, e.Name.Local, err), Do: doNumbers}
		}
		*into[i] = v
	}
	return nil
}

// index reads an id or index, a whole number below 2^31.
func (x *xmlPart) index(a map[string]string, element, name string) (uint32, error) {
	s, ok := a[name]
	if !ok {
		return 0, x.fault(fmt.Sprintf("%s without %s", element, name))
	}
	v, err := strconv.ParseUint(strings.TrimSpace(s), 10, 32)
	if err != nil || v > maxID {
		return 0, x.fault(fmt.Sprintf("%s %s is %s, expected a whole number from 0 to %d", element, name, quoteWord(s), maxID))
	}
	return uint32(v), nil
}
