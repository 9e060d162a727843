package meshfile

import (
	"encoding/xml"
	"fmt"
	"strings"

	"feint/internal/mesh"
)

// Names of the 3MF core specification (3MF Consortium, version 1.3) and of the
// extensions that do not change the shape, or that are followed.
const (
	nsCore       = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
	nsMaterial   = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
	nsTriSets    = "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07"
	nsProduction = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
	nsRels       = "http://schemas.openxmlformats.org/package/2006/relationships"
	relModel     = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
)

// unitMM is the length of the units of the core specification, section 3.4, in mm.
func unitMM(unit string) (float64, bool) {
	switch unit {
	case "micron":
		return 0.001, true
	case "millimeter":
		return 1, true
	case "centimeter":
		return 10, true
	case "inch":
		return 25.4, true
	case "foot":
		return 304.8, true
	case "meter":
		return 1000, true
	}
	return 0, false
}

// objectKey names an object: ids are unique within one model part.
type objectKey struct {
	part string
	id   uint32
}

// object3 is an object as it stands in the file.
type object3 struct {
	key        objectKey
	name, kind string
	line       int
	mesh       *mesh.Mesh // in the file's unit
	comps      []ref3
	state      resolveState
	size       meshSize
	height     int // longest way down to a mesh
	noted      bool
}

// ref3 is a component or a build item: an object and how it is placed.
type ref3 struct {
	key        objectKey
	move       affine
	partNumber string
	line       int
}

// reader3 reads the model parts of one package.
type reader3 struct {
	p       *opc
	objects map[objectKey]*object3
	loaded  map[string]bool // model parts read
	mm      float64         // length of the unit
	wanted  []string        // model parts named by paths
	total   meshSize        // of the meshes read so far, copies not counted
	placed  int             // objects put in place, copies counted
	file    *File
	items   []ref3
}

func read3MF(name string, data []byte, o Limits) (*File, error) {
	p, err := openPackage(name, data, o)
	if err != nil {
		return nil, err
	}
	root, err := p.modelPart()
	if err != nil {
		return nil, err
	}
	r := &reader3{
		p: p, objects: map[objectKey]*object3{}, loaded: map[string]bool{},
		file: &File{Format: "3MF", Metadata: map[string]string{}},
	}
	r.wanted = []string{root}
	for len(r.wanted) > 0 {
		part := r.wanted[0]
		r.wanted = r.wanted[1:]
		if r.loaded[part] {
			continue
		}
		r.loaded[part] = true
		if err := r.model(part, part == root); err != nil {
			return nil, err
		}
	}
	if err := r.build(root); err != nil {
		return nil, err
	}
	return r.file, nil
}

// modelPart follows the package's relationships to the model.
func (p *opc) modelPart() (string, error) {
	if p.parts["_rels/.rels"] == nil {
		return "", &Error{
			File: p.name, What: "a zip archive without _rels/.rels, so not a 3MF file", Do: "feint reads STL and 3MF; unpack the archive if the parts are inside",
		}
	}
	x, err := p.openXML("_rels/.rels")
	if err != nil {
		return "", err
	}
	defer x.close()
	target := ""
	err = x.document("Relationships", nsRels, func(e *xml.StartElement) error {
		a, err := x.attrs(e)
		if err != nil {
			return err
		}
		if e.Name.Local != "Relationship" || a["Type"] != relModel {
			return x.skip()
		}
		if strings.EqualFold(a["TargetMode"], "External") {
			return x.fault("the model lies outside the package (TargetMode External)")
		}
		if target != "" {
			return x.fault("the package names two models")
		}
		if target, err = p.resolve("", a["Target"]); err != nil {
			return err
		}
		return x.skip()
	})
	if err != nil {
		return "", err
	}
	if target == "" {
		return "", &Error{File: p.name, Place: "_rels/.rels", What: "the package names no 3D model", Do: doPlain}
	}
	return target, nil
}

// document reads a whole part whose root element must be the one named.
func (x *xmlPart) document(root, space string, f func(e *xml.StartElement) error) error {
	return x.documentWith(root, space, func(*xml.StartElement) error { return nil }, f)
}

func (x *xmlPart) documentWith(root, space string, open, f func(e *xml.StartElement) error) error {
	seen := false
	for {
		t, err := x.token()
		if err != nil {
			return err
		}
		if t == nil {
			break
		}
		e, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		if seen {
			return x.fault("something follows the root element")
		}
		seen = true
		if e.Name.Local != root || e.Name.Space != space {
			return x.fault(fmt.Sprintf("the root element is %s in namespace %.200q, expected %s in %q",
				quoteWord(e.Name.Local), e.Name.Space, root, space))
		}
		if err := open(&e); err != nil {
			return err
		}
		if err := x.children(f); err != nil {
			return err
		}
	}
	if !seen {
		return x.fault("the part is empty")
	}
	return nil
}
