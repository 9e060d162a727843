package meshfile

import (
	"fmt"
	"path"
	"strconv"
	"strings"

	"feint/internal/mesh"
)

// File is what a file of triangles holds.
type File struct {
	Format   string            // "binary STL", "text STL" or "3MF"
	Unit     string            // as the file names it ("millimeter", "inch"); empty where the format has none and mm is assumed
	Objects  []Object          // what the file wants built, in its order; never empty
	Metadata map[string]string // by name; of a name that is given twice, the first
	Notes    []string          // what was left out or understood freely, in words
}

// Object is one thing to build. Mesh is in mm and in the coordinates of the
// whole file.
type Object struct {
	Name   string
	Mesh   *mesh.Mesh
	Pieces []Piece // what it is put together from, outer before inner; empty for an object that is one mesh
}

// Piece is a run of vertices V[0] to V[1] and triangles T[0] to T[1] of an
// object's mesh, the ends not included.
type Piece struct {
	Name string
	V, T [2]int
}

// Piece gives piece i as a mesh of its own.
func (o *Object) Piece(i int) *mesh.Mesh {
	p := o.Pieces[i]
	m := &mesh.Mesh{V: o.Mesh.V[p.V[0]:p.V[1]:p.V[1]], T: make([][3]int32, 0, p.T[1]-p.T[0])}
	base := int32(p.V[0])
	for _, t := range o.Mesh.T[p.T[0]:p.T[1]] {
		m.T = append(m.T, [3]int32{t[0] - base, t[1] - base, t[2] - base})
	}
	return m
}

// Limits bound what a file may ask for. A zero field means its default.
type Limits struct {
	Bytes      int64   // size of the file
	Triangles  int     // of all objects together, copies counted; vertices are held to three times as many
	Expanded   int64   // bytes read out of a zip package
	Ratio      int64   // expanded to packed size of one part of a package, once it is over 1 MiB
	Entries    int     // files in a package, objects in a file
	Depth      int     // nesting of XML elements, and of components
	TokenBytes int64   // one XML tag or run of text
	Extent     float64 // largest coordinate, mm
}

// Default limits. A printed part of a million triangles is a large one; four
// million make a binary STL of 200 MB. XML of meshes packs 5 to 20 times, a zip
// bomb about 1000 times. Nothing that is printed measures a kilometre, but a
// file with damaged numbers soon does.
const (
	defaultBytes      = 256 << 20
	defaultTriangles  = 4_000_000
	defaultExpanded   = 1 << 30
	defaultRatio      = 200
	defaultEntries    = 4096
	defaultDepth      = 64
	defaultTokenBytes = 1 << 20
	defaultExtent     = 1e6
)

func orDefault[T int | int64 | float64](v, d T) T {
	if v <= 0 {
		return d
	}
	return v
}

func (o Limits) filled() Limits {
	return Limits{
		Bytes:      orDefault(o.Bytes, defaultBytes),
		Triangles:  orDefault(o.Triangles, defaultTriangles),
		Expanded:   orDefault(o.Expanded, defaultExpanded),
		Ratio:      orDefault(o.Ratio, defaultRatio),
		Entries:    orDefault(o.Entries, defaultEntries),
		Depth:      orDefault(o.Depth, defaultDepth),
		TokenBytes: orDefault(o.TokenBytes, defaultTokenBytes),
		Extent:     orDefault(o.Extent, defaultExtent),
	}
}

// Take gives the mesh of the objects or pieces called name, joined by listing
// (no boolean); the empty name takes all. An unknown name is an error that
// lists the names there are.
func (f *File) Take(name string) (*mesh.Mesh, error) {
	var picked []*mesh.Mesh
	var names []string
	for i := range f.Objects {
		o := &f.Objects[i]
		names = append(names, strconv.Quote(o.Name))
		if name == "" || o.Name == name {
			picked = append(picked, o.Mesh)
			continue
		}
		end := 0
		for k, p := range o.Pieces {
			names = append(names, strconv.Quote(p.Name))
			if p.Name == name && p.T[1] > p.T[0] && p.T[0] >= end { // not within one that is taken already
				picked = append(picked, o.Piece(k))
				end = p.T[1]
			}
		}
	}
	if len(picked) == 0 {
		const most = 20
		if more := len(names) - most; more > 0 {
			names = append(names[:most], fmt.Sprintf("and %d more", more))
		}
		return nil, fmt.Errorf("no object is called %q; there are %s", name, strings.Join(names, ", "))
	}
	return merged(picked), nil
}

// merged lists the triangles of ms in one mesh; vertices are not shared between them.
func merged(ms []*mesh.Mesh) *mesh.Mesh {
	if len(ms) == 1 {
		return ms[0]
	}
	nv, nt := 0, 0
	for _, m := range ms {
		nv, nt = nv+len(m.V), nt+len(m.T)
	}
	o := &mesh.Mesh{V: make([]vec, 0, nv), T: make([][3]int32, 0, nt)}
	for _, m := range ms {
		base := int32(len(o.V))
		o.V = append(o.V, m.V...)
		for _, t := range m.T {
			o.T = append(o.T, [3]int32{t[0] + base, t[1] + base, t[2] + base})
		}
	}
	return o
}

// baseName is the name of a file without folders and extension.
func baseName(file string) string {
	b := path.Base(strings.ReplaceAll(file, `\`, "/"))
	return strings.TrimSuffix(b, path.Ext(b))
}
