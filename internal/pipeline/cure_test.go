package pipeline

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"feint/internal/design"
	"feint/internal/mechanism"
	"feint/internal/verdict"
)

// What is said to cure a finding of the designs beside the rules does, and the value that
// is said not to be enough is not: both are proved again from the beginning, which shares
// nothing with how they were tried but the rules themselves.
func TestCures(t *testing.T) {
	if testing.Short() {
		t.Skip("proves ten designs thrice: minutes with the race detector, which uses -short; the plain run has it")
	}
	for _, c := range []struct {
		rule, dir, param string
		to               float64 // worked out apart from the program; NaN where it is not
		near             float64 // to how much
	}{
		// 20 - 17.6 - 2.2 = 0.2 mm with 0.25 mm of tolerance: 0.05 mm short at worst
		{"stack", "stack", "washer", 2.15, 1e-9},
		// the strain of a leaf goes with 1/length2, and is twice what is borne
		{"creep", "creep", "leaf length", 20 * math.Sqrt2, 0.01},
		// a magnet of 3 mm at 0.05 mm of growth
		{"proud", "proud", "pocket depth", 3.05, 0.01},
		// what the sag and the growth of both ends take
		{"sag", "sag", "room above", 0.05 + 0.173, 0.01},
		// 0.15 mm of flare and 0.05 mm to slide, to what a facet takes
		{"flare", "flare", "side gap", 0.2, 0.02},
		{"bore-undersize", "boreundersize", "side gap", math.NaN(), 0},
		{"cocking", "cocking", "guide", math.NaN(), 0},
		{"gravity-pin", "gravitypin", "fall", math.NaN(), 0},
		{"self-turning", "selfturning", "lead", math.NaN(), 0},
		{"thin-web", "thinweb", "bank", math.NaN(), 0},
	} {
		t.Run(c.rule, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(rulesDir, c.dir, "testdata", "found.star")
			o := Options{Workers: 1, Cache: store(t)}
			out, err := Prove(context.Background(), path, o)
			if err != nil {
				t.Fatal(err)
			}
			f, cure := curedBy(out.Verdict.Findings, c.rule, c.param)
			if cure == nil {
				t.Fatalf("no cure by %q among %+v", c.param, out.Verdict.Findings)
			}
			if !math.IsNaN(c.to) && math.Abs(cure.To-c.to) > c.near {
				t.Errorf("cured at %g, want %g", cure.To, c.to)
			}
			for _, try := range []struct {
				v    float64
				want bool
			}{{cure.To, false}, {cure.Stays, true}} {
				o.Set = []design.Setting{{Name: c.param, Value: strconv.FormatFloat(try.v, 'g', -1, 64)}}
				again, err := Prove(context.Background(), path, o)
				if err != nil {
					t.Fatal(err)
				}
				stays := false
				for i := range again.Verdict.Findings {
					stays = stays || alike(&again.Verdict.Findings[i], f)
				}
				if stays != try.want {
					t.Errorf("%s = %g: the finding stays: %v, want %v", c.param, try.v, stays, try.want)
				}
			}
		})
	}
}

func curedBy(fs []verdict.Finding, rule, param string) (*verdict.Finding, *verdict.Cure) {
	for i := range fs {
		for k := range fs[i].Cures {
			if fs[i].Rule == rule && fs[i].Cures[k].Param == param {
				return &fs[i], &fs[i].Cures[k]
			}
		}
	}
	return nil, nil
}

// Where anything may be tried, rules that need the whole proof are cured too: a keel that
// stands 0.488 mm too shallow is to stand so much deeper.
func TestCuresByProof(t *testing.T) {
	if testing.Short() {
		t.Skip("proves a design some twenty times")
	}
	out, err := Prove(context.Background(), filepath.Join(rulesDir, "climb", "testdata", "found.star"), Options{Cache: store(t), Try: true})
	if err != nil {
		t.Fatal(err)
	}
	f, cure := curedBy(out.Verdict.Findings, "climb", "keel")
	if cure == nil || !cure.Proved || math.Abs(cure.To-(cure.From-f.Margin)) > 0.03 || math.Abs(cure.To-cure.Stays) > 0.0101 {
		t.Errorf("%+v of %+v", cure, f)
	}
}

// A change that cures one thing and spoils another is not told: the thin pin of an invented
// mill's cap breaks, and a thicker one cures it, unless it stands in a hole that it then
// would not go through.
func TestCureSpoils(t *testing.T) {
	const mill = `
pin = param("pin", 3, min = 1, max = 12, unit = "mm")
box = part("box", frame = True, solid = block((-10, 10), (-10, 10), (0, 10)) + (block((-10, 10), (-10, 10), (14, 18)) - cylinder(d = HOLE, h = 10).at(z = 12)))
lid = part("lid", solid = block((-9, 9), (-9, 9), (10.5, 13)) + cylinder(d = pin, h = 12).at(z = 12), travels = [slide(z, 0, 0.5)])
goal("up", {lid.slide: (0.4, None)})
`
	for _, c := range []struct {
		hole  string
		cured bool
	}{{"15", true}, {"3.5", false}} {
		path := filepath.Join(t.TempDir(), "mill.star")
		if err := os.WriteFile(path, []byte(strings.Replace(mill, "HOLE", c.hole, 1)), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), path, Options{Cache: store(t)})
		if err != nil {
			t.Fatal(err)
		}
		if _, cure := curedBy(out.Verdict.Findings, "snap", "pin"); (cure != nil) != c.cured {
			t.Errorf("in a hole of %s mm: %+v", c.hole, cure)
			for i := range out.Verdict.Findings {
				t.Logf("%+v", out.Verdict.Findings[i])
			}
		}
	}
}

// line is a finding whose margin is a straight line of the param, and which goes at the
// limit; what lies beyond spoils, if anything does.
func line(p *mechanism.Param, slope, limit, spoils float64) (*seeker, *[]float64) {
	var seen []float64
	at := func(v float64) float64 { return limit - 1 + slope*(v-p.Value) }
	s := &seeker{p: p, was: sighting{known: true, margin: at(p.Value)}}
	s.look = func(v float64) (sighting, bool) {
		seen = append(seen, v)
		return sighting{gone: at(v) >= limit-1e-9, harm: (v-p.Value)*slope > spoils, known: true, margin: at(v)}, true
	}
	return s, &seen
}

// By hand: the margin is 1 short, so that the param has to change by 1/slope, rounded up
// to a hundredth of a millimetre, a tenth of a degree or one.
func TestSeek(t *testing.T) {
	inf := math.Inf(1)
	mm := func(lo, hi float64) *mechanism.Param { return &mechanism.Param{Value: 2, Min: lo, Max: hi, Unit: "mm"} }
	for _, c := range []struct {
		name                 string
		p                    *mechanism.Param
		slope, limit, spoils float64
		to, stays            float64
		ok                   bool
	}{
		{"up", mm(-inf, inf), 3, 0, inf, 2.34, 2.33, true},
		{"down", mm(-inf, inf), -3, 0, inf, 1.66, 1.67, true},
		{"a limit above 0", mm(0, 9), 3, 0.7, inf, 2.34, 2.33, true},
		{"beyond the range", mm(0, 2.2), 3, 0, inf, 0, 0, false},
		{"it spoils", mm(0, 9), 3, 0, 0.2, 0, 0, false},
		{"degrees", &mechanism.Param{Value: 30, Min: 0, Max: 90, Unit: "deg"}, 0.3, 0, inf, 33.4, 33.3, true},
		{"a number of things", &mechanism.Param{Value: 2, Min: 1, Max: 9}, 0.3, 0, inf, 6, 5, true},
	} {
		s, seen := line(c.p, c.slope, c.limit, c.spoils)
		ok := s.seek()
		if ok != c.ok || ok && (math.Abs(s.goes-c.to) > 1e-9 || math.Abs(s.stays-c.stays) > 1e-9) {
			t.Errorf("%s: %v, goes at %g, stays at %g; want %v, %g, %g; tried %v", c.name, ok, s.goes, s.stays, c.ok, c.to, c.stays, *seen)
		}
	}
}

// Without a slope the ends are tried and the step between is closed in on: the finding
// goes at 7.25 and above.
func TestSeekStep(t *testing.T) {
	p := &mechanism.Param{Value: 2, Min: 0, Max: 10, Unit: "mm"}
	s := &seeker{p: p, look: func(v float64) (sighting, bool) { return sighting{gone: v >= 7.25}, true }}
	if s.seek() || !s.flat || !s.ends() || s.goes < 7.25 || s.stays >= 7.25 || s.goes-s.stays > 0.05 {
		t.Errorf("goes at %g, stays at %g", s.goes, s.stays)
	}
	s = &seeker{p: p, look: func(float64) (sighting, bool) { return sighting{}, true }}
	if s.seek() || s.ends() || !s.all {
		t.Errorf("nothing cures: all tried %v", s.all)
	}
}
