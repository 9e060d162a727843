package solid

import (
	"errors"
	"fmt"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// DefaultTolerance is the tolerance of Options that give none, mm.
const DefaultTolerance = 0.004

// The tolerances that Options may ask for, mm. The coarsest leaves a cutter's
// overshoot larger than the deviations of two surfaces; the finest is some
// ten steps of the grid of the arrangement.
const (
	FinestTolerance   = 0.0002
	CoarsestTolerance = 0.04
)

// most bounds the triangles of one primitive: some hundred MB of memory.
const most = 2_000_000

// bounded refuses a primitive that would take too many triangles.
func bounded(triangles float64) error {
	if triangles > most {
		return fmt.Errorf("this needs some %.2g triangles, more than %.2g: make it shorter, or the tolerance coarser", triangles, float64(most))
	}
	return nil
}

// Loader gives the mesh of a file in mm, its Scale already applied. The mesh
// must not be changed afterwards.
type Loader func(f mechanism.MeshFile) (*mesh.Mesh, error)

// Options are the settings of Build.
type Options struct {
	Tolerance float64 // largest distance between mesh and drawing, mm; 0 takes DefaultTolerance
	Workers   int     // 0: as many as there are processors
	Load      Loader  // needed by shapes with mesh files only

	Stop <-chan struct{} // closed to end the work with mesh.ErrStopped; nil never does
}

// Build makes the mesh of a drawing by one exact arrangement of its primitives.
// A drawing that is one mesh file, perhaps placed and mirrored, is the file's
// mesh as it is, faults and all: the mesh that is exported is the truth. Errors
// begin with the place in the design and name all that is wrong.
func Build(s *mechanism.Shape, o Options) (*mesh.Mesh, error) {
	if o.Tolerance == 0 {
		o.Tolerance = DefaultTolerance
	}
	if !(o.Tolerance >= FinestTolerance && o.Tolerance <= CoarsestTolerance) {
		return nil, fmt.Errorf("%s: a tolerance of %g mm: give %g to %g mm", s.Pos, o.Tolerance, FinestTolerance, CoarsestTolerance)
	}
	l := &lowering{o: o}
	root := frame{move: geom.Identity()}
	l.survey(s, root)
	e, err := l.lower(s, root)
	if err != nil {
		return nil, err
	}
	if leaf := alone(s); leaf != nil {
		if _, ok := leaf.Prim.(mechanism.MeshFile); ok {
			return l.meshes[0], nil
		}
	}
	m, err := mesh.Arrange(l.meshes, e.holds, mesh.Options{Workers: o.Workers, Stop: o.Stop})
	var not *mesh.NotSolid
	if errors.As(err, &not) && l.drawn[not.Solid] {
		return nil, fmt.Errorf("%s: %w", l.from[not.Solid], &mesh.Unresolved{
			At: not.Defect.At, Reason: "what is drawn there meets itself", Change: "draw its bends less sharp, or in two pieces that overlap",
		})
	}
	if errors.As(err, &not) {
		return nil, fmt.Errorf("%s: this mesh does not bound a solid: %s: mend it before it is joined or cut", l.from[not.Solid], not.Defect)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.Pos, err)
	}
	if len(m.T) == 0 {
		return nil, fmt.Errorf("%s: nothing is left of this shape: check what is taken away from it", s.Pos)
	}
	return m, nil
}

// Facet makes the mesh of one primitive in its own frame, tol the largest
// distance from what is drawn, mm.
func Facet(p mechanism.Primitive, tol float64) (*mesh.Mesh, error) {
	return Build(&mechanism.Shape{Op: mechanism.Leaf, Prim: p}, Options{Tolerance: tol})
}

// alone is the only leaf of a shape that nothing is joined to or cut from.
func alone(s *mechanism.Shape) *mechanism.Shape {
	for s.Op != mechanism.Leaf {
		if len(s.Args) != 1 {
			return nil
		}
		s = s.Args[0]
	}
	return s
}

func load(f mechanism.MeshFile, o Options) (*mesh.Mesh, error) {
	if o.Load == nil {
		return nil, fmt.Errorf("%s: no mesh files can be read here", f.Name)
	}
	return o.Load(f)
}
