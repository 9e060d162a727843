package export

import (
	"bytes"
	"fmt"
	"io"
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

// Model is one part as the model files need it.
type Model struct {
	Part   string
	Color  string      // "#rrggbb"
	Mesh   *mesh.Mesh  // as drawn, in the assembly frame with every travel at 0, mm
	Pose   geom.Motion // carries it to where it stands in the assembled view
	Print  geom.Motion // turns it into the way it lies on the plate (rotation only)
	Frame  bool        // always cut in a cut-away
	Bought bool        // not printed: in the assembled view, but on no plate
}

// ModelOptions are what the model files have in common.
type ModelOptions struct {
	Meta  meshfile.Meta   // Application is set to "feint" where it does not begin so: WriteFiles knows its own files by it
	Plate Plate           // zero fields mean their default
	Cut   *Cut            // nil for no cut-away
	Stop  <-chan struct{} // closed to end the work with mesh.ErrStopped; nil never does
}

// stopped is mesh.ErrStopped once the work is to end.
func (o *ModelOptions) stopped() error {
	select {
	case <-o.Stop:
		return mesh.ErrStopped
	default:
		return nil
	}
}

// Output is one file to write; Name is relative, with forward slashes.
type Output struct {
	Name string
	Data []byte
}

// ours begins the Application, generator or header of every file.
const ours = "feint"

func (o *ModelOptions) meta(title string) meshfile.Meta {
	m := o.Meta
	if len(m.Application) < len(ours) || m.Application[:len(ours)] != ours {
		m.Application = ours
	}
	switch {
	case m.Title == "":
		m.Title = title
	case title != "":
		m.Title += ": " + title
	}
	return m
}

// ModelFiles makes all model files: single parts, plates, assembled view and,
// if asked for, the cut-away. Notes tell in words what the cut left out.
func ModelFiles(models []Model, o ModelOptions) (files []Output, notes []string, err error) {
	add := func(f []Output, e error) {
		files = append(files, f...)
		if err == nil {
			err = e
		}
	}
	for _, files := range []func([]Model, ModelOptions) ([]Output, error){PartFiles, PlateFiles, AssemblyFiles} {
		if err == nil {
			add(files(models, o))
		}
	}
	if o.Cut != nil && err == nil {
		f, n, e := CutawayFiles(models, o)
		add(f, e)
		notes = n
	}
	if err != nil {
		return nil, nil, err
	}
	return files, notes, nil
}

// PartFiles makes an STL and a 3MF file of every printed part, in print
// orientation, resting on z = 0 with its corner at the origin.
func PartFiles(models []Model, o ModelOptions) ([]Output, error) {
	var files []Output
	names := fileNames(models)
	for i := range models {
		m := &models[i]
		if m.Bought {
			continue
		}
		if err := o.stopped(); err != nil {
			return nil, err
		}
		lying, err := onPlate(m)
		if err != nil {
			return nil, err
		}
		meta := o.meta(m.Part)
		stl, err := output("parts/"+names[i]+".stl", func(w io.Writer) error {
			return meshfile.WriteSTL(w, ours+" "+meta.Title+", mm", lying)
		})
		if err != nil {
			return nil, err
		}
		item := meshfile.Item{Name: m.Part, Color: m.Color, Mesh: lying, At: geom.Identity()}
		tmf, err := output("parts/"+names[i]+".3mf", func(w io.Writer) error {
			return meshfile.Write3MF(w, []meshfile.Item{item}, "", meta)
		})
		if err != nil {
			return nil, err
		}
		files = append(files, stl, tmf)
	}
	return files, nil
}

// AssemblyFiles makes the assembled view as 3MF, in which the parts are the
// components of one object and so stay together, and as GLB.
func AssemblyFiles(models []Model, o ModelOptions) ([]Output, error) {
	return viewFiles("assembled", models, o)
}

// viewFiles writes the models where they stand. The 3MF is shifted so that all
// of it has positive coordinates, as programs that print expect; the GLB is not.
func viewFiles(name string, models []Model, o ModelOptions) ([]Output, error) {
	items := make([]meshfile.Item, len(models))
	all := geom.EmptyBox()
	for i := range models {
		m := &models[i]
		if err := usable(m); err != nil {
			return nil, err
		}
		items[i] = meshfile.Item{Name: m.Part, Color: m.Color, Mesh: m.Mesh, At: cleaned(m.Pose)}
		all = all.Union(m.Mesh.Moved(items[i].At).Bounds())
	}
	if err := o.stopped(); err != nil {
		return nil, err
	}
	meta := o.meta(name)
	glb, err := output(name+".glb", func(w io.Writer) error { return meshfile.WriteGLB(w, items, meta) })
	if err != nil {
		return nil, err
	}
	if err := o.stopped(); err != nil {
		return nil, err
	}
	lift := geom.Translation(corner(all.Lo))
	for i := range items {
		items[i].At = items[i].At.Then(lift)
	}
	tmf, err := output(name+".3mf", func(w io.Writer) error { return meshfile.Write3MF(w, items, meta.Title, meta) })
	if err != nil {
		return nil, err
	}
	return []Output{tmf, glb}, nil
}

func output(name string, write func(w io.Writer) error) (Output, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return Output{}, fmt.Errorf("%s: %w", name, err)
	}
	return Output{Name: name, Data: b.Bytes()}, nil
}

func usable(m *Model) error {
	if m.Mesh == nil || len(m.Mesh.T) == 0 {
		return fmt.Errorf("part %q has no triangles to write", m.Part)
	}
	return nil
}

// onPlate is the mesh of m in print orientation, its corner at the origin.
func onPlate(m *Model) (*mesh.Mesh, error) {
	if err := usable(m); err != nil {
		return nil, err
	}
	turned := m.Mesh.Moved(cleaned(geom.Motion{R: m.Print.R}))
	return turned.Moved(geom.Translation(corner(turned.Bounds().Lo))), nil
}

// corner is the shift that brings lo to the origin.
func corner(lo geom.Vec) geom.Vec { return geom.Vec{X: 0 - lo.X, Y: 0 - lo.Y, Z: 0 - lo.Z} }

// quarterNoise is the rounding of sine and cosine at multiples of a quarter
// turn, with room for a few products of rotations: entries of a rotation that
// close to -1, 0 or 1 are meant to be it. A turn of 1e-13 moves a point 1 m away
// by 1e-10 mm.
const quarterNoise = 1e-13

// cleaned takes the rounding out of turns by quarters, so that vertices stay on
// their grid and float32 keeps them.
func cleaned(g geom.Motion) geom.Motion {
	for i := range g.R {
		for _, x := range [3]*float64{&g.R[i].X, &g.R[i].Y, &g.R[i].Z} {
			if r := math.Round(*x); math.Abs(*x-r) < quarterNoise {
				*x = r + 0
			}
		}
	}
	return g
}
