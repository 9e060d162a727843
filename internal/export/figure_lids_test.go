package export

import (
	"math"
	"strings"
	"testing"

	"feint/internal/verdict/sample"
)

// ramp is a lid whose pull falls evenly from 4 to 6 N shut to nothing at 10 mm.
func ramp() *HandlingInfo {
	l := LidInfo{Part: "lamp", Travel: "lift", Magnets: 2, Grams: 50}
	for _, by := range []float64{0, 5, 10} {
		lo, hi := 4*(1-by/10), 6*(1-by/10)
		l.Curve = append(l.Curve, OpenedInfo{by, by, SpanInfo{&lo, &hi}})
	}
	l.Pull, l.Peel, l.Kept = l.Curve[0].Pull, l.Curve[0].Pull, l.Curve[0].Pull
	return &HandlingInfo{Lids: []LidInfo{l}}
}

// TestLidsFigure: the corners of a curve that is straight by itself lie on two straight
// lines of the drawing that meet on its zero line, and the tables say the same.
func TestLidsFigure(t *testing.T) {
	m := sample.Mechanism()
	f := (&builder{m: m}).lidsFigure(ramp())
	var ends [][2][2]float64
	for _, s := range shapes(t, f.SVG) {
		if s.class == "asked" {
			ends = append(ends, [2][2]float64{s.points[0], s.points[len(s.points)-1]})
			for _, p := range s.points {
				a, b := s.points[0], s.points[len(s.points)-1]
				on := a[1] + (b[1]-a[1])*(p[0]-a[0])/(b[0]-a[0])
				if math.Abs(on-p[1]) > 0.2 {
					t.Errorf("%v is off the line by %g", p, on-p[1])
				}
			}
		}
	}
	if len(ends) != 2 || ends[0][1] != ends[1][1] {
		t.Fatalf("the limits of the band: %v", ends)
	}
	// 6 and 4 N over the same zero line
	if r := (ends[0][1][1] - ends[0][0][1]) / (ends[1][1][1] - ends[1][0][1]); math.Abs(r-1.5) > 0.01 {
		t.Errorf("heights as %g to 1", r)
	}
	if got := f.Tables[1]; got.Rows[1][0] != "5" || got.Rows[1][1] != "2.00 to 3.00" || got.Show[1][sample.LampLift] != 5 {
		t.Errorf("the table: %v, shown %v", got.Rows, got.Show)
	}
	// 50 g at 5 g and their weight: 0.05 * 9.80665 * 6 = 2.94 N
	if !strings.Contains(f.Words, "with 2.9 N") || !strings.Contains(f.Words, "it stays on; weak fingers part it") {
		t.Error(f.Words)
	}
}

// TestEvenTicks: round, within, neither crowded nor lonely, at any size.
func TestEvenTicks(t *testing.T) {
	for _, k := range [][2]float64{{0, 10}, {0, 0.37}, {-4.2, 19}, {0, 1234}, {3, 3.001}, {-1, 0}} {
		at, _ := evenTicks(k[0], k[1], panelTicks)
		if len(at) < 2 || len(at) > panelTicks+1 {
			t.Errorf("%v: %v", k, at)
		}
		for i, v := range at {
			step := at[1] - at[0]
			lead := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
			if v < k[0]-1e-9 || v > k[1]+1e-9 || math.Abs(v/step-math.Round(v/step)) > 1e-6 || i > 0 && math.Abs(at[i]-at[i-1]-step) > 1e-9 {
				t.Errorf("%v: %v", k, at)
			}
			if r := math.Round(lead); math.Abs(lead-r) > 1e-6 || r != 1 && r != 2 && r != 5 {
				t.Errorf("%v: in steps of %g", k, step)
			}
		}
	}
	if at, _ := evenTicks(1, 1, panelTicks); at != nil {
		t.Error(at)
	}
}

// bump is a travel that magnets hold in the middle of its stroke.
func bump() *HandlingInfo {
	c := CourseInfo{Part: "lamp", Travel: "lift", Unit: "mm", ForceUnit: "N", Forward: between(1, 2), Backward: between(3, 4)}
	for i, p := range []float64{0, 2, 0, -2, 0} {
		c.Curve = append(c.Curve, PushInfo{float64(i), between(p, 2*p)})
	}
	k := MeetInfo{Sense: "repel", Pull: between(-2, -1), Apart: 0.4}
	p := MeetingInfo{A: MagnetName{"lamp", "north"}, B: MagnetName{"tower", "pole"}, Meant: "attract", Nearest: k, Against: &k, Reached: true}
	return &HandlingInfo{Courses: []CourseInfo{c}, Meetings: []MeetingInfo{p}}
}

func between(a, b float64) SpanInfo {
	lo, hi := min(a, b), max(a, b)
	return SpanInfo{&lo, &hi}
}

// TestMagnetsFigure: a curve that is as much above nothing as below it has its zero line
// half way; the tables and words say what the numbers do.
func TestMagnetsFigure(t *testing.T) {
	h := bump()
	f := (&builder{m: sample.Mechanism()}).magnetsFigure(h)
	var top, foot, zero float64
	for _, s := range shapes(t, f.SVG) {
		switch {
		case s.class == "frame":
			top, foot = s.at["y"], s.at["y"]+s.at["height"]
		case s.class == "tick" && s.at["y1"] == s.at["y2"] && s.at["x2"]-s.at["x1"] > 100:
			zero = s.at["y1"]
		}
	}
	// from -4 (and air) to 4 (and air)
	if math.Abs(zero-(top+foot)/2) > 1 {
		t.Errorf("zero at %g between %g and %g", zero, top, foot)
	}
	if !strings.Contains(f.Words, "it takes 1.0 to 2.0 N to bring it on past them, 3.0 to 4.0 back") || !strings.Contains(f.Words, "every situation that may be reached") {
		t.Error(f.Words)
	}
	if r := f.Tables[0].Rows; len(r) != 2 || r[1][2] != "repel" || r[1][3] != "1.0 to 2.0" {
		t.Error(r)
	}
	if got := f.Tables[1]; got.Show[3][sample.LampLift] != 3 || got.Rows[3][1] != "-4.00 to -2.00" {
		t.Errorf("%v", got)
	}
	// a lid has a chart of its own
	h.Lids = []LidInfo{{Part: "lamp", Travel: "lift"}}
	if f := (&builder{m: sample.Mechanism()}).magnetsFigure(h); f.SVG != "" {
		t.Error("a lid is drawn twice")
	}
}
