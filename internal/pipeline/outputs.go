package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/logbook"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

// WriteReport writes the proof as one HTML page, with the printers given on its fit
// window.
func (out *Outcome) WriteReport(ctx context.Context, w io.Writer, printers []export.Printer) error {
	_, err := out.DrawReport(ctx, w, printers)
	return err
}

// DrawReport is WriteReport and gives the drawings one by one as well.
func (out *Outcome) DrawReport(ctx context.Context, w io.Writer, printers []export.Printer) (*export.Views, error) {
	further, err := out.Further(ctx)
	if err != nil {
		return nil, err
	}
	in := out.reportInput()
	in.Printers, in.Further = printers, further
	return export.DrawReport(w, in)
}

// DrawFrames draws the storyboard alone, which needs no more than the way.
func (out *Outcome) DrawFrames() (*export.Views, error) { return export.DrawFrames(out.reportInput()) }

func (out *Outcome) reportInput() export.ReportInput {
	meshes := make([]*mesh.Mesh, len(out.Bodies))
	for i := range out.Bodies {
		meshes[i] = out.Bodies[i].Mesh
	}
	in := export.ReportInput{Mechanism: out.Mechanism, Result: out.Result, Document: out.Document, Meshes: meshes}
	if out.Hands != nil {
		in.Hands = out.Hands.Way
	}
	return in
}

// ExportOptions say what Export writes beside the parts.
type ExportOptions struct {
	Plate export.Plate
	Cut   *geom.Line // plane of the cut-away; nil for none
	Parts []string   // parts cut beside the frame, by name
	Made  time.Time  // for the files' metadata; zero leaves the dates out
}

// Export builds the parts of a design and writes them below dir.
func Export(ctx context.Context, path, dir string, o Options, e ExportOptions) (*export.Written, error) {
	_, models, eo, err := toExport(ctx, path, o, e)
	if err != nil {
		return nil, err
	}
	w, err := export.WriteModels(dir, models, eo)
	return w, ended(ctx, err)
}

// ExportFiles makes what Export writes, and writes nothing. Notes tell what the
// cut-away left out.
func ExportFiles(ctx context.Context, path string, o Options, e ExportOptions) (m *mechanism.Mechanism, files []export.Output, notes []string, err error) {
	m, models, eo, err := toExport(ctx, path, o, e)
	if err != nil {
		return nil, nil, nil, err
	}
	files, notes, err = export.ModelFiles(models, eo)
	return m, files, notes, ended(ctx, err)
}

// ended is the cause of ctx in place of the error of work that was stopped by it.
func ended(ctx context.Context, err error) error {
	if errors.Is(err, mesh.ErrStopped) && ctx.Err() != nil {
		return context.Cause(ctx)
	}
	return err
}

// toExport are the parts of a design as the model files need them.
func toExport(ctx context.Context, path string, o Options, e ExportOptions) (*mechanism.Mechanism, []export.Model, export.ModelOptions, error) {
	none := export.ModelOptions{}
	m, err := Load(path, o)
	if err != nil {
		return nil, nil, none, err
	}
	bs, err := bodies(ctx, m, o)
	if err != nil {
		return nil, nil, none, err
	}
	models := make([]export.Model, len(bs))
	for i := range bs {
		p := &m.Parts[i]
		if !bs[i].Sound() {
			return nil, nil, none, fmt.Errorf("part %q cannot be written: %s; mend the mesh it comes from first", p.Name, firstHarm(&bs[i]))
		}
		models[i] = export.Model{
			Part: p.Name, Color: p.Color, Mesh: bs[i].Mesh, Pose: m.Pose(i, m.Start), Print: p.Print,
			Frame: p.Frame, Bought: p.Material.Bought,
		}
	}
	eo := export.ModelOptions{Meta: meta(m, o, e), Plate: e.Plate, Stop: ctx.Done()}
	if e.Cut != nil {
		cut := export.Cut{Plane: *e.Cut}
		for _, name := range e.Parts {
			if err := known(m, name); err != nil {
				return nil, nil, none, err
			}
			cut.Parts = append(cut.Parts, name)
		}
		eo.Cut = &cut
	}
	return m, models, eo, nil
}

func known(m *mechanism.Mechanism, name string) error {
	var names []string
	for i := range m.Parts {
		if m.Parts[i].Name == name {
			return nil
		}
		names = append(names, m.Parts[i].Name)
	}
	if n := logbook.Nearest(name, names); n != "" {
		return fmt.Errorf("there is no part %q to cut; did you mean %q?", name, n)
	}
	return fmt.Errorf("there is no part %q to cut; the parts are %s", name, strings.Join(names, ", "))
}

func firstHarm(b *Body) string {
	for i := range b.Defects {
		if !b.Defects[i].Harmless {
			return b.Defects[i].String()
		}
	}
	return "it has no triangles"
}

func meta(m *mechanism.Mechanism, o Options, e ExportOptions) meshfile.Meta {
	t := meshfile.Meta{
		Title: m.Title, Designer: m.Designer, Description: m.Note, LicenseTerms: m.License,
		Application: "feint " + o.Version,
	}
	if t.Title == "" {
		t.Title = m.Name
	}
	if !e.Made.IsZero() {
		t.CreationDate = e.Made.Format("2006-01-02")
		t.ModificationDate = t.CreationDate
	}
	return t
}
