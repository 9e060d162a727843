package gravitypin

import (
	"math"
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// fall is the lighthouse's rod, falling, with a slope at its upper end; friction of printed
// PLA, 0.12 to 0.38, alone holds it up to 6.8 to 20.8 degrees (doi
// 10.1177/1464420720978997).
func fall(need forces.Interval, guide float64) *finding.Case {
	k := sample.Case()
	free := forces.Interval{Lo: math.Atan(0.12), Hi: math.Atan(0.38)}
	k.Evidence.Forces = &survey.Survey{Falls: []survey.Fall{{
		Part: sample.Rod, Travel: sample.RodSlide, Offered: [2]float64{math.Pi / 2, math.Pi / 2},
		At: []survey.Station{
			{Guide: load.Guide{Length: 20, Width: 8}, Slope: [2]forces.Interval{free, {}}},
			{Value: 40, Guide: load.Guide{Length: guide, Width: 8}, Slope: [2]forces.Interval{{}, need}},
		},
	}}}
	return k
}

func one(t *testing.T, k *finding.Case) finding.Finding {
	t.Helper()
	got := check(k)
	if len(got) != 1 {
		t.Fatalf("%d findings: %+v", len(got), got)
	}
	return got[0]
}

// Up to 45 degrees silence; from there late, perhaps never, never.
func TestSlopes(t *testing.T) {
	if got := check(sample.Case()); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	inf := math.Inf(1)
	if got := check(fall(forces.Interval{Lo: 0.2, Hi: Late}, 8)); len(got) != 0 {
		t.Fatalf("at the limit: %q", got[0].Message)
	}
	f := one(t, fall(forces.Interval{Lo: 0.2, Hi: Late + 0.1}, 8))
	if !strings.Contains(f.Message, "key rod falls late at slide 40.0 mm: on slopes from 11 to 51 deg") || math.Abs(f.Margin+5.73) > 0.01 || f.Unit != "deg" {
		t.Errorf("late: %+v", f)
	}
	if f = one(t, fall(forces.Interval{Lo: 0.2, Hi: inf}, 8)); f.Severity != finding.Warning || !strings.Contains(f.Message, "it may stick") {
		t.Errorf("may stick: %+v", f)
	}
	if f = one(t, fall(forces.Exact(inf), 8)); f.Severity != finding.Fault || !strings.Contains(f.Message, "does not fall") {
		t.Errorf("sticks: %+v", f)
	}
}

// What the attitudes do not give is asked; a way that no attitude gives is not.
func TestOffered(t *testing.T) {
	k := fall(forces.Interval{Lo: 0.1, Hi: 0.35}, 8)
	k.Evidence.Forces.Falls[0].Offered = [2]float64{math.Pi / 2, 0.34}
	if f := one(t, k); !strings.Contains(f.Message, "the attitudes allowed give it 19 deg") {
		t.Errorf("%+v", f)
	}
	k.Evidence.Forces.Falls[0].Offered[1] = -0.5
	if got := check(k); len(got) != 0 {
		t.Errorf("never that way down: %q", got[0].Message)
	}
}

// As much guide as width is enough; a part that is meant to come out may leave its guide.
func TestTips(t *testing.T) {
	k := fall(forces.Interval{Lo: 0.1, Hi: 0.3}, 7.9)
	f := one(t, k)
	if math.Abs(f.Margin+0.1) > 1e-9 || f.Unit != "mm" || !strings.Contains(f.Message, "7.9 mm of guide left at slide 40.0 mm, and is 8.0 mm wide") || !strings.Contains(f.Change, "by 0.1 mm") {
		t.Errorf("%+v", f)
	}
	k.Evidence.Forces.Falls[0].Leaves = true
	if got := check(k); len(got) != 0 {
		t.Errorf("it is to come out: %q", got[0].Message)
	}
}
