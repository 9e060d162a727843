package export

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/meshfile"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cut tells how to open the mechanism for showing.
type Cut struct {
	Plane geom.Line // a point of the plane and its unit normal, in the assembled view; what lies on the normal's side goes
	Parts []string  // parts to cut besides the frame
	By    Cutter    // nil for mesh.CutByPlane
}

// Cutter cuts a mesh by a plane and closes it again: it gives the part of the
// solid on the side that the normal points away from, watertight.
type Cutter func(m *mesh.Mesh, plane geom.Line) (*mesh.Mesh, error)

// CutawayFiles makes the cut-away: the frame and the named parts cut, the others
// whole, as a view (cutaway.3mf, cutaway.glb), as plates (cutaway-plate-1.3mf
// and so on) and the cut parts as single STL files in print orientation. A part
// that lies wholly on the side that goes is left out, and a note says so.
func CutawayFiles(models []Model, o ModelOptions) (files []Output, notes []string, err error) {
	kept, cut, notes, err := cutModels(models, &o)
	if err != nil {
		return nil, nil, err
	}
	if len(kept) == 0 {
		return nil, nil, fmt.Errorf("the cut leaves nothing: move its plane, or turn its normal round")
	}
	if files, err = viewFiles("cutaway", kept, o); err != nil {
		return nil, nil, err
	}
	plates, err := plateFiles("cutaway-plate", kept, o)
	if err != nil {
		return nil, nil, err
	}
	files = append(files, plates...)
	names := fileNames(kept)
	for i := range kept {
		if !cut[i] || kept[i].Bought {
			continue
		}
		if err := o.stopped(); err != nil {
			return nil, nil, err
		}
		lying, err := onPlate(&kept[i])
		if err != nil {
			return nil, nil, err
		}
		f, err := output("cutaway/"+names[i]+".stl", func(w io.Writer) error {
			return meshfile.WriteSTL(w, ours+" "+o.meta(kept[i].Part+", cut").Title+", mm", lying)
		})
		if err != nil {
			return nil, nil, err
		}
		files = append(files, f)
	}
	return files, notes, nil
}

// cutModels gives the models that are left, and which of them were cut.
func cutModels(models []Model, o *ModelOptions) (kept []Model, cut []bool, notes []string, err error) {
	c := o.Cut
	if n := r3.Norm(c.Plane.Dir); !(n > 0.999999 && n < 1.000001) {
		return nil, nil, nil, fmt.Errorf("the normal of the cut has length %g, expected 1", n)
	}
	named := map[string]bool{}
	for _, p := range c.Parts {
		named[p] = true
	}
	for i := range models {
		if err := o.stopped(); err != nil {
			return nil, nil, nil, err
		}
		m := models[i]
		wanted := m.Frame || named[m.Part]
		delete(named, m.Part)
		if err := usable(&m); err != nil {
			return nil, nil, nil, err
		}
		side := across
		if wanted {
			side = sideOf(&m, c.Plane)
		}
		switch {
		case !wanted:
		case side == beyond:
			notes = append(notes, fmt.Sprintf("part %q lies wholly on the side that is cut away and is left out", m.Part))
			continue
		case side == before:
			notes = append(notes, fmt.Sprintf("the plane of the cut misses part %q, which stays whole", m.Part))
		default:
			if m.Mesh, err = cutModel(&m, c, o.Stop); err != nil {
				return nil, nil, nil, err
			}
		}
		kept, cut = append(kept, m), append(cut, wanted && side == across)
	}
	for _, p := range c.Parts {
		if named[p] {
			return nil, nil, nil, unknownPart(p, models)
		}
	}
	return kept, cut, notes, nil
}

func unknownPart(name string, models []Model) error {
	var have []string
	for i := range models {
		have = append(have, strconv.Quote(models[i].Part))
	}
	return fmt.Errorf("the cut names a part %q; there are %s", name, strings.Join(have, ", "))
}

// cutModel cuts one part, in its own frame as drawn.
func cutModel(m *Model, c *Cut, stop <-chan struct{}) (*mesh.Mesh, error) {
	by := c.By
	if by == nil {
		by = func(m *mesh.Mesh, plane geom.Line) (*mesh.Mesh, error) {
			return mesh.CutByPlane(m, plane, mesh.Options{Stop: stop})
		}
	}
	got, err := by(m.Mesh, planeFor(m, c.Plane))
	if errors.Is(err, mesh.ErrStopped) {
		return nil, err
	}
	if err != nil {
		return nil, fmt.Errorf("part %q cannot be cut; move the plane a little: %w", m.Part, err)
	}
	if got == nil || len(got.T) == 0 {
		return nil, fmt.Errorf("part %q: the cut leaves nothing of it; move the plane", m.Part)
	}
	if n := unpaired(got); n > 0 {
		return nil, fmt.Errorf("part %q: %d edges stay open after the cut; move the plane a little", m.Part, n)
	}
	return got, nil
}

// planeFor carries the plane from the assembled view into the part as drawn.
func planeFor(m *Model, plane geom.Line) geom.Line {
	back := cleaned(m.Pose).Inverse()
	return geom.Line{Point: back.Apply(plane.Point), Dir: back.Turn(plane.Dir)}
}

type side uint8

const (
	across side = iota
	before      // wholly on the side that stays
	beyond      // wholly on the side that goes
)

// touching is how far, mm, a vertex may stand beyond the plane and still count
// as on it: a tenth of the 2^-16 mm grid, far above the rounding of a pose
// (1e-13) and far below anything that can be seen or printed.
const touching = 1.5e-6

// sideOf tells where a part lies. A part that only touches the plane is not across it.
func sideOf(m *Model, plane geom.Line) side {
	p := planeFor(m, plane)
	in, out := false, false
	for _, v := range m.Mesh.V {
		switch d := r3.Dot(r3.Sub(v, p.Point), p.Dir); {
		case d < -touching:
			in = true
		case d > touching:
			out = true
		}
	}
	switch {
	case !out:
		return before
	case !in:
		return beyond
	default:
		return across
	}
}

// unpaired counts the directed edges that have no partner the other way: none
// in a closed surface. It guards what is written, whoever cut it.
func unpaired(m *mesh.Mesh) int {
	n := map[[2]int32]int{}
	for _, t := range m.T {
		for k := range t {
			n[[2]int32{t[k], t[(k+1)%3]}]++
		}
	}
	open := 0
	for e, c := range n {
		if d := c - n[[2]int32{e[1], e[0]}]; d > 0 {
			open += d
		}
	}
	return open
}
