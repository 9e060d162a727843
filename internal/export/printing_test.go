package export_test

import (
	"bytes"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/export/schema"
	"feint/internal/export/schema/schematest"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/printable"
	"feint/internal/verdict"
	"feint/internal/verdict/sample"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// surveyed is the sample with a survey of its printing in which the rod hangs over,
// prints better lying, and does not fit the bed, and the lamp has no mesh.
func surveyed() *printable.Survey {
	s := sample.Survey()
	for i := range s.Reports {
		s.Reports[i] = &printable.Report{Best: -1, Given: printable.WayUp{Name: "as drawn", Up: geom.Identity(), Fits: true, Stands: true, Estimate: printable.Estimate{Grams: 10, Metres: 3, Minutes: 40, Layers: 100}}}
		s.Pieces[i].Up = geom.Identity()
	}
	r := s.Reports[sample.Rod]
	r.Given.Fits, r.Given.Over = false, 12
	r.Given.Patches = []printable.Patch{{Area: 50, Angle: 1.5, Supported: true, Support: 900}}
	r.Given.Overhang, r.Given.Support = 50, 900
	lying := geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, 3.141592653589793)
	r.Ways = []printable.WayUp{{Name: "+z down", Up: lying, Fits: true, Stands: true, Estimate: printable.Estimate{Grams: 9, Metres: 2.7, Minutes: 31, Layers: 90}}}
	r.Best, r.Why = 0, []string{"900 mm3 less room for supports"}
	r.Spare = []printable.Spare{{Volume: 400, Grams: 0.5, Minutes: 2, Open: "from above"}}
	s.Reports[sample.Lamp] = nil
	return s
}

func TestPrintingDocument(t *testing.T) {
	s := surveyed()
	m, r, v := proof(func(_ *mechanism.Mechanism, _ *motion.Result, e *verdict.Evidence) { e.Printing = s })
	d := export.NewDocument(m, r, v, info())
	d.Printing = export.NewPrinting(m, s, false)
	inst, err := jsonschema.UnmarshalJSON(bytes.NewReader(written(t, d)))
	if err != nil {
		t.Fatal(err)
	}
	if err := schematest.Compiled(t, schema.Prove).Validate(inst); err != nil {
		t.Errorf("a proof with its printing: %v", err)
	}
	if p := d.Printing; p.Complete || p.Grams != 10*float64(len(m.Parts)-1) {
		t.Errorf("%+v", p)
	}
	var full bytes.Buffer
	if err := export.WritePrintingJSON(&full, export.NewPrintingDocument(m, s, v.Findings, "0.1.0")); err != nil {
		t.Fatal(err)
	}
	if inst, err = jsonschema.UnmarshalJSON(&full); err != nil {
		t.Fatal(err)
	}
	if err := schematest.Compiled(t, schema.Printing).Validate(inst); err != nil {
		t.Errorf("the printing alone: %v", err)
	}
	inst.(map[string]any)["printing"].(map[string]any)["grams"] = "many"
	if err := schematest.Compiled(t, schema.Printing).Validate(inst); err == nil {
		t.Error("grams in words were let through")
	}
}

// The terminal tells a fault of the print in full and sums up what only advises.
func TestPrintingInFewLines(t *testing.T) {
	s := surveyed()
	m, r, v := proof(func(_ *mechanism.Mechanism, _ *motion.Result, e *verdict.Evidence) { e.Printing = s })
	d := export.NewDocument(m, r, v, info())
	d.Printing = export.NewPrinting(m, s, false)
	told := func(all bool) string {
		var b bytes.Buffer
		if err := export.Terminal(&b, d, export.Style{All: all}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	short, long := told(false), told(true)
	_, section, _ := strings.Cut(short, "\nPrint\n")
	section, _, _ = strings.Cut(section, "\n\n")
	if n := strings.Count(section, "\n") + 1; n > 8 {
		t.Errorf("%d lines of the print:\n%s", n, section)
	}
	for _, want := range []string{"common printer", "down = z", "overhang"} {
		if !strings.Contains(section, want) {
			t.Errorf("%q is not told in\n%s", want, section)
		}
	}
	if !strings.Contains(short, "fault  bed") {
		t.Errorf("a part larger than the printer is no summary:\n%s", short)
	}
	if strings.Contains(short, "warning  overhang") || !strings.Contains(long, "warning  overhang") {
		t.Errorf("advice is told in full when not asked, or not when asked:\n%s", long)
	}
}
