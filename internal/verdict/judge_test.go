package verdict_test

import (
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict"
	"feint/internal/verdict/sample"

	"github.com/google/go-cmp/cmp"
)

// change is one way in which the working sample is spoiled, and what must be
// said of it. The meanings and exit statuses are those of the contract.
type change struct {
	name   string
	spoil  func(m *mechanism.Mechanism, r *motion.Result, e *verdict.Evidence)
	kind   verdict.Kind
	status int
	sure   bool   // certified
	say    string // part of the sentence
}

func limit(lo, hi float64) *motion.Limit { return &motion.Limit{Lo: lo, Hi: hi} }

func cases() []change {
	type m = mechanism.Mechanism
	type r = motion.Result
	type e = verdict.Evidence
	return []change{
		{"as it is", func(*m, *r, *e) {}, verdict.Works, 0, true, "5 moves and in no fewer"},
		{"no checker", func(_ *m, _ *r, e *e) { e.Checked = false }, verdict.Works, 0, false, "It works"},
		{"checker refuses", func(_ *m, _ *r, e *e) { e.Refused = []string{"move 2 touches"} }, verdict.Undecided, 3, false, "did not agree"},
		{"broken mesh", func(_ *m, _ *r, e *e) {
			e.Defects = []verdict.Defect{{Part: sample.Lamp, Kind: "hole"}}
		}, verdict.Undecided, 3, false, "mesh of lamp is broken"},
		{"pair left out", func(_ *m, _ *r, e *e) {
			e.Skipped = []verdict.Skip{{A: 1, B: 2, Why: "broken mesh"}}
		}, verdict.Undecided, 3, false, "key rod and gallery is not known"},
		{"overlap", func(_ *m, _ *r, e *e) {
			e.Clashes = []verdict.Overlap{{A: 0, B: 1, Depth: 0.1}, {A: 1, B: 3, Depth: 0.4, At: geom.Vec{X: 1, Y: 2, Z: 3}}}
		}, verdict.Clash, 1, true, "key rod and door ring overlap by 0.40 mm at x 1.0, y 2.0, z 3.0 mm, and 1 pair more"},
		{"start not free", func(_ *m, r *r, _ *e) { r.Drawn.Start = motion.No }, verdict.Clash, 1, true, "not free"},
		{"goal at start", func(_ *m, r *r, _ *e) { r.Drawn.Goal = motion.Yes }, verdict.Open, 1, true, "stands open"},
		{"no way as drawn", func(_ *m, r *r, _ *e) {
			r.Drawn.Opens, r.Tight.Opens, r.Way = motion.No, motion.No, nil
			r.Fit.Bind = limit(-0.03, -0.02)
		}, verdict.Stuck, 1, true, "up to a growth of about -0.025 mm"},
		{"no way when tight", func(_ *m, r *r, _ *e) {
			r.Tight.Opens, r.Fit.Bind = motion.No, limit(0.03, 0.04)
		}, verdict.Stuck, 1, true, "it binds at +0.035 mm"},
		{"way when tight not known", func(_ *m, r *r, _ *e) { r.Tight.Opens = motion.Undecided }, verdict.Undecided, 3, false, "not every question"},
		{"step avoidable", func(_ *m, r *r, _ *e) {
			r.Steps[1].Unavoidable, r.Steps[1].Bypass = motion.No, &motion.Limit{Lo: 0.3, Above: true}
		}, verdict.Shortcut, 1, true, `as drawn, the step "rod above the door ring" need not be taken (a way of 3 moves leaves it out)`},
		{"leak within the range", func(_ *m, r *r, _ *e) { r.Steps[1].Bypass = limit(-0.05, -0.04) }, verdict.Shortcut, 1, true, "when it prints small"},
		{"leak just outside", func(_ *m, r *r, _ *e) { r.Steps[1].Bypass = limit(-0.06, -0.0501) }, verdict.Works, 0, true, "It works"},
		{"leak at the edge", func(_ *m, r *r, _ *e) { r.Steps[1].Bypass = limit(-0.06, -0.04) }, verdict.Undecided, 3, false, "Undecided"},
		{"leak below all searched", func(_ *m, r *r, _ *e) {
			r.Steps[1].Bypass = &motion.Limit{Hi: -0.05, Below: true}
		}, verdict.Works, 0, true, "It works"},
		{"leak below all searched, to a bit less", func(_ *m, r *r, _ *e) {
			r.Steps[1].Bypass = &motion.Limit{Lo: math.Inf(-1), Hi: -0.0499999, Below: true}
		}, verdict.Works, 0, true, "It works"},
		{"start not known", func(_ *m, r *r, _ *e) { r.Drawn.Start = motion.Undecided }, verdict.Undecided, 3, false, "Undecided"},
		{"goal at start not known", func(_ *m, r *r, _ *e) { r.Drawn.Goal = motion.Undecided }, verdict.Undecided, 3, false, "Undecided"},
		{"step not known", func(_ *m, r *r, _ *e) { r.Steps[0].Unavoidable = motion.Undecided }, verdict.Undecided, 3, false, "Undecided"},
		{"step not looked at", func(_ *m, r *r, _ *e) { r.Steps = r.Steps[:1] }, verdict.Undecided, 3, false, "Undecided"},
		{"sure fault beside an open question", func(_ *m, r *r, _ *e) {
			r.Steps[0].Unavoidable, r.Tight.Opens = motion.Undecided, motion.No
		}, verdict.Stuck, 1, true, "It binds"},
		{"leak with play", func(_ *m, r *r, _ *e) { r.Fit.LeakPlay = limit(-0.03, -0.02) }, verdict.Works, 0, true, "held straight"},
		{"no steps", func(m *m, r *r, _ *e) { m.Steps, r.Steps = nil, nil }, verdict.Works, 0, true, "no step is declared"},
	}
}

func TestJudge(t *testing.T) {
	for _, c := range cases() {
		t.Run(c.name, func(t *testing.T) {
			m, r, e := sample.Mechanism(), sample.Result(), sample.Evidence()
			c.spoil(m, r, &e)
			v := verdict.Judge(m, r, e)
			if v.Kind != c.kind || v.Kind.ExitStatus() != c.status || v.Certified != c.sure {
				t.Errorf("got %s, status %d, certified %v; want %s, %d, %v: %s",
					v.Kind, v.Kind.ExitStatus(), v.Certified, c.kind, c.status, c.sure, v.Sentence)
			}
			if !strings.Contains(v.Sentence, c.say) {
				t.Errorf("sentence %q does not say %q", v.Sentence, c.say)
			}
			if !v.Certified && len(v.Doubts) == 0 {
				t.Error("not certified, but no word of why")
			}
		})
	}
}

func TestJudgeNothing(t *testing.T) {
	v := verdict.Judge(sample.Mechanism(), nil, verdict.Evidence{})
	if v.Kind != verdict.Undecided || v.Certified || len(v.Doubts) == 0 {
		t.Errorf("a result that is not there gave %s, certified %v, %q", v.Kind, v.Certified, v.Doubts)
	}
}

// TestJudgeTwice: same input, same answer, and the input is left alone.
func TestJudgeTwice(t *testing.T) {
	m, r, e := sample.Mechanism(), sample.Result(), sample.Evidence()
	r.Steps[1].Bypass = limit(-0.05, -0.04)
	a, b := verdict.Judge(m, r, e), verdict.Judge(m, r, e)
	if d := cmp.Diff(a, b); d != "" {
		t.Errorf("two runs differ:\n%s", d)
	}
	if d := cmp.Diff(m, sample.Mechanism()); d != "" {
		t.Errorf("the mechanism was changed:\n%s", d)
	}
}

func TestFindingsSorted(t *testing.T) {
	m, r, e := sample.Mechanism(), sample.Result(), sample.Evidence()
	r.Steps[1].Bypass = limit(-0.05, -0.04)
	r.Idle = []int{sample.Gallery}
	e.Bounds.Hi.X = 2000
	v := verdict.Judge(m, r, e)
	if len(v.Findings) < 3 {
		t.Fatalf("want a fault, a warning and a note at least, got %v", v.Findings)
	}
	for i := 1; i < len(v.Findings); i++ {
		if v.Findings[i].Severity > v.Findings[i-1].Severity {
			t.Errorf("finding %d (%s) is graver than the one before", i, v.Findings[i].Rule)
		}
	}
}

func TestNamesFromStrangers(t *testing.T) {
	m, r, e := sample.Mechanism(), sample.Result(), sample.Evidence()
	m.Parts[sample.Rod].Name = "rod\x1b[2J\u202e\n!"
	e.Clashes = []verdict.Overlap{{A: 0, B: sample.Rod, Depth: 1}}
	v := verdict.Judge(m, r, e)
	if strings.ContainsAny(v.Sentence+v.Findings[0].Message, "\x1b\n\u202e") {
		t.Errorf("control characters got through: %q", v.Sentence)
	}
}

// Where the bind lies at the end of the asked range no resolution tells which comes
// first; the maker is told so, and what to do.
func TestDoubtAtTheEnd(t *testing.T) {
	for _, c := range []struct {
		bind *motion.Limit
		want bool
	}{{limit(0.045, 0.055), true}, {limit(0.06, 0.07), false}, {nil, false}} {
		r := sample.Result()
		r.Tight.Opens, r.Fit.Bind = motion.Undecided, c.bind
		v := verdict.Judge(sample.Mechanism(), r, sample.Evidence())
		if got := strings.Contains(strings.Join(v.Doubts, " "), "binds just there"); got != c.want {
			t.Errorf("bind %v: %q", c.bind, v.Doubts)
		}
	}
}
