package solid

import (
	"fmt"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// DefaultTolerance is the tolerance of Options that give none, mm.
const DefaultTolerance = 0.004

// Loader gives the mesh of a file, in the design's millimetres.
type Loader func(f mechanism.MeshFile) (*mesh.Mesh, error)

// Options are the settings of Build.
type Options struct {
	Tolerance float64 // largest distance between mesh and drawing, mm; 0 takes DefaultTolerance
	Workers   int     // 0: as many as there are processors
	Load      Loader  // needed by shapes with mesh files only
}

// Build makes the mesh of a drawing by one exact arrangement of its primitives.
// A drawing that is one mesh file, perhaps placed, is the file's mesh as it is,
// faults and all: the mesh that is exported is the truth. Errors begin with the
// place in the design.
func Build(s *mechanism.Shape, o Options) (*mesh.Mesh, error) {
	if f, g, pos, ok := loneFile(s); ok {
		m, err := load(f, pos, o)
		if err != nil {
			return nil, err
		}
		if g == geom.Identity() {
			return m, nil
		}
		return m.Moved(g), nil
	}
	if o.Tolerance == 0 {
		o.Tolerance = DefaultTolerance
	}
	if !(o.Tolerance > 0) {
		return nil, fmt.Errorf("%s: a tolerance of %g mm: give a positive one", s.Pos, o.Tolerance)
	}
	l := &lowering{o: o}
	root := frame{move: geom.Identity()}
	l.survey(s, root)
	e, err := l.lower(s, root)
	if err != nil {
		return nil, err
	}
	m, err := mesh.Arrange(l.meshes, e.holds, mesh.Options{Workers: o.Workers})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.Pos, err)
	}
	if len(m.T) == 0 {
		return nil, fmt.Errorf("%s: nothing is left of this shape: check what is taken away from it", s.Pos)
	}
	return m, nil
}

// loneFile finds the one mesh file of a drawing without operations, and how it
// is placed.
func loneFile(s *mechanism.Shape) (mechanism.MeshFile, geom.Motion, mechanism.Pos, bool) {
	g := geom.Identity()
	for s.Op == mechanism.Place {
		g = s.Move.Then(g)
		s = s.Args[0]
	}
	f, ok := s.Prim.(mechanism.MeshFile)
	return f, g, s.Pos, ok && s.Op == mechanism.Leaf
}

func load(f mechanism.MeshFile, pos mechanism.Pos, o Options) (*mesh.Mesh, error) {
	if o.Load == nil {
		return nil, fmt.Errorf("%s: %s: no mesh files can be read here", pos, f.Name)
	}
	m, err := o.Load(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", pos, err)
	}
	return m, nil
}
