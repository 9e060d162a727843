package export_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/export/schema"
	"feint/internal/export/schema/schematest"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict"
	"feint/internal/verdict/sample"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// proof is the sample after spoil, judged.
func proof(spoil func(*mechanism.Mechanism, *motion.Result, *verdict.Evidence)) (*mechanism.Mechanism, *motion.Result, *verdict.Verdict) {
	m, r, e := sample.Mechanism(), sample.Result(), sample.Evidence()
	if spoil != nil {
		spoil(m, r, &e)
	}
	return m, r, verdict.Judge(m, r, e)
}

func info() export.Info {
	return export.Info{Version: "0.1.0", Seconds: map[string]float64{"clearance": 1.25, "motion": 0.04}}
}

func written(t *testing.T, d *export.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := export.WriteJSON(&b, d); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// spoiled are the documents that every output is tried on.
func spoiled() map[string]func(*mechanism.Mechanism, *motion.Result, *verdict.Evidence) {
	return map[string]func(*mechanism.Mechanism, *motion.Result, *verdict.Evidence){
		"works": nil,
		"shortcut": func(_ *mechanism.Mechanism, r *motion.Result, e *verdict.Evidence) {
			r.Steps[1].Bypass = &motion.Limit{Lo: -0.03, Hi: -0.02}
			r.Steps[1].BypassPlay = &motion.Limit{Lo: -0.01, Hi: 0}
			r.Fit.Leak, r.Fit.LeakPlay = r.Steps[1].Bypass, r.Steps[1].BypassPlay
			r.Required = []motion.Required{{Travel: sample.RodTurn, Value: 1, Rising: true}}
			r.Idle = []int{sample.Door}
			e.Bounds.Hi.Z = 2000
		},
		"stuck": func(_ *mechanism.Mechanism, r *motion.Result, _ *verdict.Evidence) {
			r.Drawn.Opens, r.Tight.Opens, r.Loose.Opens, r.Way = motion.No, motion.No, motion.No, nil
			r.Fit = motion.Fit{Bind: &motion.Limit{Lo: math.Inf(-1), Hi: -0.15, Below: true}}
			r.Steps[1] = motion.Step{Index: 1, Bypass: &motion.Limit{Lo: 0.15, Hi: math.Inf(1), Above: true}}
		},
		"clash": func(_ *mechanism.Mechanism, _ *motion.Result, e *verdict.Evidence) {
			e.Clashes = []verdict.Overlap{{A: 1, B: 2, Depth: 0.2, At: geom.Vec{X: 1.23456789}}}
		},
		"undecided": func(_ *mechanism.Mechanism, _ *motion.Result, e *verdict.Evidence) {
			e.Defects = []verdict.Defect{{Part: sample.Lamp, Kind: "hole", At: geom.Vec{Z: 80}, Count: 2}}
			e.Skipped = []verdict.Skip{{A: sample.Lamp, B: sample.Tower, Why: "lamp is broken"}}
			e.Checked = false
		},
		"open": func(_ *mechanism.Mechanism, r *motion.Result, _ *verdict.Evidence) {
			r.Drawn.Goal, r.Way = motion.Yes, &motion.Way{Fewest: true}
		},
	}
}

// TestSchema validates what is written against the schema of the contract, with
// a validator that is not ours.
func TestSchema(t *testing.T) {
	s := schematest.Compiled(t, schema.Prove)
	for name, spoil := range spoiled() {
		m, r, v := proof(spoil)
		b := written(t, export.NewDocument(m, r, v, info()))
		inst, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(inst); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if got := inst.(map[string]any)["verdict"]; got != name {
			t.Errorf("%s: verdict %v", name, got)
		}
		if again := written(t, export.NewDocument(m, r, v, info())); !bytes.Equal(b, again) {
			t.Errorf("%s: written twice, the bytes differ", name)
		}
	}
	m := sample.Mechanism()
	b := written(t, export.NewDocument(m, nil, verdict.Judge(m, nil, verdict.Evidence{}), export.Info{}))
	inst, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(inst); err != nil {
		t.Errorf("without a result: %v", err)
	}
}

// TestSchemaRefuses: the schema is no schema if it lets anything through.
func TestSchemaRefuses(t *testing.T) {
	s := schematest.Compiled(t, schema.Prove)
	m, r, v := proof(nil)
	for name, spoil := range map[string]func(map[string]any){
		"a verdict of no meaning": func(d map[string]any) { d["verdict"] = "fine" },
		"no certificate field":    func(d map[string]any) { delete(d, "certified") },
		"an unknown field":        func(d map[string]any) { d["surprise"] = 1 },
		"two travels, one value":  func(d map[string]any) { d["solution"].([]any)[1].(map[string]any)["from"] = 3 },
		"a unit of no meaning":    func(d map[string]any) { d["start"].([]any)[0].(map[string]any)["unit"] = "rad" },
	} {
		var d map[string]any
		if err := json.Unmarshal(written(t, export.NewDocument(m, r, v, info())), &d); err != nil {
			t.Fatal(err)
		}
		spoil(d)
		if s.Validate(d) == nil {
			t.Errorf("%s passed", name)
		}
	}
}

// TestContract reads single values back by the names of the contract.
func TestContract(t *testing.T) {
	m, r, v := proof(nil)
	var d struct {
		Moves, Strokes int
		Certified      bool
		Solution       []struct {
			Part, Travel string
			Travels      []string
			From, To     any
			Clearance    float64 `json:"clearance_mm"`
		}
		Steps []struct {
			Unavoidable bool
			Bypass      *float64 `json:"bypass_growth_mm"`
		}
		Fit struct {
			Leak float64 `json:"leak_growth_mm"`
			Bind float64 `json:"bind_growth_mm"`
			Unc  float64 `json:"uncertainty_mm"`
		}
	}
	if err := json.Unmarshal(written(t, export.NewDocument(m, r, v, info())), &d); err != nil {
		t.Fatal(err)
	}
	if d.Moves != 5 || d.Strokes != 7 || !d.Certified {
		t.Errorf("moves %d, strokes %d, certified %v", d.Moves, d.Strokes, d.Certified)
	}
	one, two := d.Solution[0], d.Solution[1]
	if one.Part != "gallery" || one.Travel != "turn" || one.From != 20.0 || one.To != 120.0 {
		t.Errorf("the first move, in degrees: %+v", one)
	}
	if two.Travel != "" || strings.Join(two.Travels, " ") != "slide turn" || two.To.([]any)[0] != 18.0 || two.To.([]any)[1] != 80.0 {
		t.Errorf("the second move, along two travels: %+v", two)
	}
	if two.Clearance > 0.249999 {
		t.Errorf("a lower bound of 0.249999 was rounded up to %v", two.Clearance)
	}
	if d.Steps[0].Bypass != nil || !d.Steps[0].Unavoidable || *d.Steps[1].Bypass != -0.085 {
		t.Errorf("steps: %+v", d.Steps)
	}
	if d.Fit.Leak != -0.085 || d.Fit.Bind != 0.105 || d.Fit.Unc != 0.005 {
		t.Errorf("fit: %+v", d.Fit)
	}
}
