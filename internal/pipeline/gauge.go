package pipeline

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"feint/internal/export"
	"feint/internal/gauge"
	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/meshfile"
	"feint/internal/printable"
)

// GaugeOptions say which gauges are cut.
type GaugeOptions struct {
	Settings printable.Settings
	Fits     []int     // numbers of fits; empty takes the tightest
	Most     int       // gauges of fits at most; 0 for all
	Gaps     []float64 // of the ladder, mm a side; nil for steps round the drawn gap
	Plain    bool      // the plain ladder as well
}

// GaugeOutcome is what was cut.
type GaugeOutcome struct {
	Mechanism *mechanism.Mechanism
	Fits      []mating.Fit
	Gauges    []gauge.Gauge
	Refused   []gauge.Refused
}

// FindFits lists the fits of a design, the tightest first, without cutting gauges.
func FindFits(ctx context.Context, path string, o Options) (*GaugeOutcome, error) {
	out, _, err := fitsOf(ctx, path, o)
	return out, err
}

func fitsOf(ctx context.Context, path string, o Options) (*GaugeOutcome, []Body, error) {
	m, err := Load(path, o)
	if err != nil {
		return nil, nil, err
	}
	bs, err := bodies(ctx, m, o)
	if err != nil {
		return nil, nil, err
	}
	r, err := mate(ctx, m, bs, o)
	if err != nil {
		return nil, nil, err
	}
	return &GaugeOutcome{Mechanism: m, Fits: r.Fits}, bs, nil
}

// CutGauges cuts gauges out of a design.
func CutGauges(ctx context.Context, path string, o Options, g GaugeOptions) (*GaugeOutcome, error) {
	if err := g.Settings.Check(); err != nil {
		return nil, err
	}
	out, bs, err := fitsOf(ctx, path, o)
	if err != nil {
		return nil, err
	}
	for _, n := range g.Fits {
		if n < 1 || n > len(out.Fits) {
			return nil, fmt.Errorf("there is no fit %d: this design has %d", n, len(out.Fits))
		}
	}
	parts := make([]gauge.Part, len(bs))
	for i := range bs {
		p := &out.Mechanism.Parts[i]
		parts[i] = gauge.Part{Name: p.Name, Color: p.Color, Print: p.Print}
		if bs[i].Sound() && !p.Material.Bought {
			parts[i].Mesh = bs[i].Mesh
		}
	}
	s := gauge.Settings{Gaps: g.Gaps, Workers: o.workers(), Estimate: g.estimate}
	o.progress("gauges", 0, len(out.Fits))
	if out.Gauges, out.Refused, err = gauge.Cut(ctx, parts, out.Fits, s, g.Most, g.Fits...); err != nil {
		return nil, err
	}
	if g.Plain {
		p, err := gauge.Plain(ctx, s)
		if err != nil {
			return nil, err
		}
		out.Gauges = append(out.Gauges, *p)
	}
	g.byTheClock(out.Gauges)
	return out, nil
}

// estimate is the model's own: how long a printer takes to warm up is no reason to cut
// less of a gauge.
func (g *GaugeOptions) estimate(ms []*mesh.Mesh) (minutes, grams float64) {
	s := g.Settings
	s.Pace = printable.Pace{}
	e := printable.CostOf(ms, 0, 0, 0, &s)
	return e.Minutes, e.Grams
}

// byTheClock notes how long the gauges take at the maker's own pace.
func (g *GaugeOptions) byTheClock(gs []gauge.Gauge) {
	if g.Settings.Pace == (printable.Pace{}) {
		return
	}
	for i := range gs {
		gs[i].Notes = append(gs[i].Notes, fmt.Sprintf("at your own pace about %.0f minutes", g.Settings.Pace.Minutes(gs[i].Minutes)))
	}
}

// PlainGauge makes the plain ladder alone, which needs no design.
func PlainGauge(ctx context.Context, g GaugeOptions) (*GaugeOutcome, error) {
	if err := g.Settings.Check(); err != nil {
		return nil, err
	}
	p, err := gauge.Plain(ctx, gauge.Settings{Gaps: g.Gaps, Estimate: g.estimate})
	if err != nil {
		return nil, err
	}
	out := &GaugeOutcome{Gauges: []gauge.Gauge{*p}}
	g.byTheClock(out.Gauges)
	return out, nil
}

// The names of the files beside the models.
const (
	readingsName = "readings.csv"
	placesName   = "places.json"
	listName     = "what-to-do.txt"
)

// WriteGauges writes the gauges below dir: a plate (3MF) and single pieces (STL)
// of each, the list of what to do, the table for the readings and the places by
// which that is read again. A table that is there already is never replaced.
func (out *GaugeOutcome) WriteGauges(dir string, o Options) ([]string, error) {
	for _, n := range []string{readingsName, placesName, listName} {
		if _, err := os.Lstat(filepath.Join(dir, n)); err == nil {
			return nil, fmt.Errorf("%s is there already and may hold readings; write to another folder or move it", filepath.Join(dir, n))
		}
	}
	files, err := out.GaugeFiles(o)
	if err != nil {
		return nil, err
	}
	if err := export.WriteFiles(dir, files); err != nil {
		return nil, err
	}
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return names, nil
}

// GaugeFiles makes what WriteGauges writes, and writes nothing.
func (out *GaugeOutcome) GaugeFiles(o Options) ([]export.Output, error) {
	if len(out.Gauges) == 0 {
		return nil, errors.New("no gauge was cut, so there is nothing to write")
	}
	var files []export.Output
	for i := range out.Gauges {
		f, err := gaugeFiles(&out.Gauges[i], o)
		if err != nil {
			return nil, err
		}
		files = append(files, f...)
	}
	var table, list, places bytes.Buffer
	if err := gauge.WriteReadings(&table, out.Gauges); err != nil {
		return nil, err
	}
	if err := out.WriteList(&list); err != nil {
		return nil, err
	}
	if err := writePlaces(&places, out.Gauges); err != nil {
		return nil, err
	}
	return append(files, export.Output{Name: listName, Data: list.Bytes()}, export.Output{Name: readingsName, Data: table.Bytes()}, export.Output{Name: placesName, Data: places.Bytes()}), nil
}

// gaugeFiles puts the pieces of a gauge side by side, and each into a file.
func gaugeFiles(g *gauge.Gauge, o Options) ([]export.Output, error) {
	const apart = 5.0 // mm between pieces on the plate, as export lays parts out
	var files []export.Output
	var items []meshfile.Item
	at := 0.0
	for i := range g.Pieces {
		p := &g.Pieces[i]
		b := p.Mesh.Bounds()
		items = append(items, meshfile.Item{Name: p.Name, Color: p.Color, Mesh: p.Mesh, At: geom.Translation(geom.Vec{X: -b.Lo.X, Y: at - b.Lo.Y})})
		at += b.Hi.Y - b.Lo.Y + apart
		var stl bytes.Buffer
		if err := meshfile.WriteSTL(&stl, "feint "+g.Name+" "+p.Name, p.Mesh); err != nil {
			return nil, err
		}
		files = append(files, export.Output{Name: fmt.Sprintf("%s-%d.stl", g.Name, i+1), Data: stl.Bytes()})
	}
	var tmf bytes.Buffer
	if err := meshfile.Write3MF(&tmf, items, "", meshfile.Meta{Title: g.Title, Application: strings.TrimSpace("feint " + o.Version)}); err != nil {
		return nil, err
	}
	return append(files, export.Output{Name: g.Name + ".3mf", Data: tmf.Bytes()}), nil
}

// WriteList tells what to print, in how long, and what to do with every place.
func (out *GaugeOutcome) WriteList(w io.Writer) error {
	for i := range out.Gauges {
		g := &out.Gauges[i]
		fmt.Fprintf(w, "%s.3mf\n  %s\n  about %.0f minutes and %.1f g by feint's estimate\n", g.Name, g.Title, g.Minutes, g.Grams)
		for _, p := range g.Places {
			fmt.Fprintf(w, "  [%s] %s\n", p.Label, p.Do)
		}
		for _, n := range g.Notes {
			fmt.Fprintf(w, "  note: %s\n", n)
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintf(w, "Print with the settings of the box, nothing scaled, no glue on faces that are measured.\n")
	fmt.Fprintf(w, "Small pieces: keep them from small children. Let the plate cool before you take them off.\n")
	_, err := fmt.Fprintf(w, `Write what you find into %[1]s: felt (stuck, tight, slides, loose) or measured in mm.
Leave empty what you did not try; a spreadsheet may save it with semicolons and decimal commas.
Then, in the workshop's folder, with the names of your printer and your spool:
  feint printer learn "kitchen, white PLA" %[1]s --printer kitchen --spool "white PLA"
`, readingsName)
	return err
}

// ReadGaugeReadings reads a filled-in table with the places that lie beside it.
func ReadGaugeReadings(table string) ([]gauge.Reading, error) {
	raw, err := os.ReadFile(filepath.Join(filepath.Dir(table), placesName))
	if err != nil {
		return nil, fmt.Errorf("the places of these readings: %w; keep %s beside the table", err, placesName)
	}
	var gs []gauge.Gauge
	if err := json.Unmarshal(raw, &gs); err != nil {
		return nil, fmt.Errorf("%s: %w", placesName, err)
	}
	f, err := os.Open(table)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }() // reading only
	return gauge.ReadReadings(f, gs)
}

// writePlaces keeps names and places of gauges, without their meshes.
func writePlaces(w io.Writer, gs []gauge.Gauge) error {
	bare := make([]gauge.Gauge, len(gs))
	for i := range gs {
		bare[i] = gauge.Gauge{Name: gs[i].Name, Title: gs[i].Title, Places: gs[i].Places, Minutes: gs[i].Minutes, Grams: gs[i].Grams}
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(bare)
}
