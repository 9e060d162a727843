package export_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/export/schema"
	"feint/internal/export/schema/schematest"
	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/magnet"
	"feint/internal/forces/survey"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/verdict/sample"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// held is a made-up survey of a lamp that magnets hold.
func held() *survey.Survey {
	up, pull := geom.Vec{Z: 1}, forces.Interval{Lo: 2, Hi: 3}
	k := survey.Place{Config: []float64{0, 0, 0, 0}, Meeting: magnet.Meeting{Apart: 0.4, Sense: magnet.Repel, Pull: pull.Neg()}}
	return &survey.Survey{
		Magnets:  []magnet.Placed{{Name: "foot", Part: sample.Tower, North: up}, {Name: "head", Part: sample.Lamp, North: up}},
		Meetings: []survey.Meeting{{A: 0, B: 1, Meant: magnet.Attract, Nearest: k, Against: &k}},
		OnWay: []survey.Pulled{
			{Run: survey.Run{Move: 2, Travel: sample.RodSlide, To: 5}, Along: []survey.CourseAt{{Value: 0, Push: pull.Neg()}}, Takes: pull, Otherwise: pull},
			{Run: survey.Run{Move: 3, Travel: sample.LampLift, To: 5}, Otherwise: pull, Differs: true},
			{Run: survey.Run{Move: 4, Travel: sample.LampLift, To: 5}, Takes: pull.Neg(), Otherwise: pull.Neg()},
		},
		Courses: []survey.Course{{Travel: sample.RodSlide, Along: []survey.CourseAt{{Value: 0, Push: pull.Neg()}, {Value: 5}}}},
		Lids:    []survey.Lid{{Part: sample.Lamp, Travel: sample.LampLift, Count: 1, Each: pull, Pull: pull, Mass: 0.02, Kept: pull, Peel: pull, Curve: []survey.Opened{{Pull: pull}, {By: 1, At: 1}}}},
	}
}

// handled is a document of the sample with made-up handling.
func handled(t *testing.T) *export.Document {
	t.Helper()
	m, res, v := proof(nil)
	first := &hands.Loose{Travel: sample.LampLift, Up: true, From: forces.Interval{Lo: 2, Hi: 2.5}}
	inf := forces.Interval{Lo: math.Inf(1), Hi: math.Inf(1)}
	rows := []hands.Row{
		{Kind: load.Tilt, Level: 180, Outcome: hands.Rattles, Sure: true, Step: -1, Needs: inf, Margin: inf, First: first, Moves: []int{sample.LampLift}},
		{Kind: load.Shake, Level: 3, Outcome: hands.Holds, Sure: true, Step: -1, Margin: forces.Interval{Lo: 4, Hi: 6}},
		{Kind: load.Shake, Level: 5, Outcome: hands.Skips, Step: 0, Margin: forces.Interval{Lo: 2, Hi: 4}},
		{Kind: load.Shake, Level: 10, Outcome: hands.Opens, Step: -1, Margin: forces.Interval{Lo: -3, Hi: -1}, Sure: true, Keeps: []int{sample.LampLift}},
		{Kind: load.Spin, Level: 300, Outcome: hands.Holds, Sure: true, Step: -1, Margin: inf},
		{Kind: load.Knock, Level: 80, Outcome: hands.Rattles, Step: -1, Margin: forces.Interval{Lo: 1, Hi: 2}},
	}
	r := &hands.Result{
		Trap:    hands.Trap{Exists: motion.Yes},
		Pushers: []hands.Pusher{{Travel: sample.RodSlide, Pushed: sample.LampLift, Dead: 3, Gets: 6, Needs: 7.5, Short: 1.5}, {Travel: sample.RodSlide, Pushed: sample.LampLift, Needs: math.NaN()}},
	}
	a := &hands.Assembly{
		Order: []hands.Entry{{Part: sample.Rod, With: []int{sample.Door}, Way: geom.Vec{Z: -1}, Turned: []geom.Vec{{Y: 1}}}},
		Stuck: []hands.Jam{{Part: sample.Lamp, Way: geom.Vec{X: 1}, By: []int{sample.Tower}}},
	}
	d := export.NewDocument(m, res, v, export.Info{})
	d.Handled(m, rows, r, a, held())
	runs := []int{sample.LampLift}
	d.Attitudes(m,
		[]hands.Attitude{{Down: geom.Vec{Z: -1}, Opens: motion.No}, {Down: geom.Vec{Z: 1}, Loose: runs, Sure: runs, Opens: motion.Yes}, {Down: geom.Vec{X: -1}, Opens: motion.No}},
		[]hands.Attitude{{Loose: runs, Opens: motion.Undecided}, {Opens: motion.No}, {Opens: motion.No}, {Loose: runs, Sure: runs, Opens: motion.Yes}})
	return d
}

// TestHandling: the document keeps to the schema, and the words say what the rows do.
func TestHandling(t *testing.T) {
	d := handled(t)
	inst, err := jsonschema.UnmarshalJSON(bytes.NewReader(written(t, d)))
	if err != nil {
		t.Fatal(err)
	}
	if err := schematest.Compiled(t, schema.Prove).Validate(inst); err != nil {
		t.Error(err)
	}
	h := d.Handling
	if !h.Opened() || h.Shake.Step == nil || *h.Shake.Level != 5 || len(h.Shook) != 3 || h.Tilt.Margin.Lo != nil {
		t.Errorf("handling %+v", h)
	}
	var b bytes.Buffer
	if err := export.Handling(&b, d, export.Style{Width: 200}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"Only rattles; nothing of this kind opens it. What gives way first is lamp, from 2.0 to 2.5 deg on",
		"May skip a step (", "it opens from 7.0 to 9.0 g on, 2.0 to 4.0 more than asked",
		"What would keep it shut: hold lamp by a detent",
		"Reaches the goal; it opens from 7.0 to 9.0 g on.", "There is a trap",
		"key rod slide pushes lamp lift: 3.00 of its travel before they touch, then to 6.00 mm; 1.50 mm short",
		"key rod with door ring, going down; mind how it faces: it also goes in after half a turn about y",
		"lamp: no way in was found among those tried; straight, it meets tower.", "estimates",
		"lamp is held by 1 magnet: 2.0 to 3.0 N straight", "next to nothing from 1 mm on",
		"key rod slide feels magnets: from the start it takes 2.0 to 3.0 N to bring it on past them",
		"Move 2 of the solution, key rod slide, takes 2.0 to 3.0 N against magnets, most at 0.0 mm, as it does while everything else stands as at the start.",
		"Move 3 of the solution, lamp lift, feels no magnet, everything else where it then stands; as at the start it takes 2.0 to 3.0 N against magnets.",
		"Move 4 of the solution, lamp lift, is pushed on by magnets all the way, by 2.0 to 3.0 N at least, as it does",
		`"foot" of tower and "head" of lamp come within 0.4 mm and repel, 2.0 to 3.0 N, where they are meant to attract`,
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the words lack %q:\n%s", want, b.String())
		}
	}
	b.Reset()
	m, res, _ := proof(nil)
	if err := export.WriteReport(&b, export.ReportInput{Mechanism: m, Result: res, Document: d}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`id="handling"`, "Handling, drawing", "shake 10 g", "no level opens it", "may be: skips a step", "There is a trap"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the report lacks %q", want)
		}
	}
}

// TestAttitudes: directions in which the same comes of it stand together with their share
// of the sphere, the largest first.
func TestAttitudes(t *testing.T) {
	got := handled(t).Handling.Attitudes
	lamp := []string{"lamp lift"}
	want := []export.AttitudeInfo{
		{Down: [][]float64{{0, 0, -1}, {-1, 0, 0}}, Share: 0.5, Runs: []string{}, Surely: []string{}, Opens: "no"},
		{Down: [][]float64{{0, 0, 1}}, Share: 0.25, Runs: lamp, Surely: lamp, Opens: "yes"},
		{Down: [][]float64{}, Share: 0.25, Runs: lamp, Surely: []string{}, Opens: "undecided"},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// TestAssemblyWords: ways of several stretches, parts moved meanwhile, and what is proved of
// parts that stay are told, and keep to the schema.
func TestAssemblyWords(t *testing.T) {
	m, res, v := proof(nil)
	d := export.NewDocument(m, res, v, export.Info{})
	a := &hands.Assembly{
		Order: []hands.Entry{
			{Part: sample.Rod, Way: geom.Vec{Z: -1}, Stands: []hands.Place{{Travel: sample.RodSlide, At: 4}}},
			{
				Part: sample.Door, Way: geom.Vec{Z: -1},
				Path:  []hands.Stretch{{Way: geom.Vec{Z: -1}}, {Way: geom.Vec{X: 1}, Far: 12.5}, {Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Angle: -math.Pi / 2}},
				After: []hands.Shift{{Travel: sample.RodSlide, From: 4, To: 2, Back: 3}, {Travel: sample.LampLift, To: 1, Back: 2}, {Travel: sample.RodSlide, From: 2}},
			},
		},
		Stuck: []hands.Jam{{Part: sample.Lamp, By: []int{sample.Tower}, Kept: hands.Anyhow}, {Part: sample.Lamp, By: []int{sample.Tower}, Kept: hands.Upright}},
		Tried: hands.Tried{Further: true, Places: 12, Stands: 345, Short: true},
	}
	inf := forces.Interval{Lo: math.Inf(1), Hi: math.Inf(1)}
	var rows []hands.Row
	for _, k := range []load.Kind{load.Tilt, load.Shake, load.Spin, load.Knock} {
		rows = append(rows, hands.Row{Kind: k, Level: 5, Step: -1, Needs: inf, Margin: inf})
	}
	d.Handled(m, rows, nil, a, held())
	inst, err := jsonschema.UnmarshalJSON(bytes.NewReader(written(t, d)))
	if err != nil {
		t.Fatal(err)
	}
	if err := schematest.Compiled(t, schema.Prove).Validate(inst); err != nil {
		t.Error(err)
	}
	var b bytes.Buffer
	if err := export.Handling(&b, d, export.Style{Width: 400}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"1. key rod, going down, with key rod slide at 4.0 mm.",
		"2. door ring, going down, then to the right by 12.5 mm, then turned by -90 deg about z; then moves 3 to 2 of the solution backwards; then key rod slide from 2.0 to 0.0 mm.",
		"lamp: tower keeps it in or out however it is turned, proved of rigid parts.", "unless it is turned",
		"12 situations of the other parts, 345 places of a single part. More were not looked at.",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the words lack %q:\n%s", want, b.String())
		}
	}
}
