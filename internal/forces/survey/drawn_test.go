package survey

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Two magnets of 6 x 3 mm, 1.2 T (within N35, 1.17 to 1.22 T by makers' tables), 1 mm
// apart pull with 4.459746 N, at 2 mm with 2.504725 N and at 4 mm with 0.953557 N (D.
// Vokoun et al., J. Magn. Magn. Mater. 321 (2009) 3758; an axisymmetric finite-element
// model gives 4.45974, 2.50472, 0.953552 N).
const pull1, pull2, pull4 = 4.459746, 2.504725, 0.953557

// magnets is a lid with a magnet over that of a box, on one travel.
func magnets(tr mechanism.Travel, north geom.Vec, x float64) *mechanism.Mechanism {
	tr.Part = 1
	put := func(z float64, n geom.Vec) []mechanism.Magnet {
		return []mechanism.Magnet{{Name: "m", D: 6, H: 3, Center: geom.Vec{X: x, Z: z}, North: n, Grade: "N35"}}
	}
	return &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Frame: true, Carrier: -1, Magnets: put(-2, geom.Vec{Z: 1})},
			{Carrier: 0, Travels: []int{0}, Magnets: put(2, north)},
		},
		Travels: []mechanism.Travel{tr}, Start: []float64{0},
	}
}

// course is that of the only travel of m.
func course(t *testing.T, m *mechanism.Mechanism) *Course {
	t.Helper()
	got, err := Courses(m, forces.Interval{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 1 {
		t.Fatalf("%d courses", len(got))
	}
	return &got[0]
}

func TestCourses(t *testing.T) {
	up := geom.Line{Dir: geom.Vec{Z: 1}}
	hinge := geom.Line{Dir: geom.Vec{Y: -1}} // lifts what lies at positive x
	lift := mechanism.Travel{Kind: mechanism.Slide, Axis: up, Hi: 40}
	// what it takes to part them: by the trapeze, too much, from 1 to 4 mm, and by the
	// least pull of each stretch, too little; beyond 4 mm less than a third more
	least := pull2 + 2*pull4
	most := 4. / 3 * ((pull1+pull2)/2 + (pull2 + pull4))
	for _, c := range []struct {
		name  string
		m     *mechanism.Mechanism
		push  float64
		parts bool
	}{
		{"a lid", magnets(lift, geom.Vec{Z: 1}, 0), -pull1, true},
		{"a lid that is pushed off", magnets(lift, geom.Vec{Z: -1}, 0), pull1, false},
		{"a hinged lid", magnets(mechanism.Travel{Kind: mechanism.Turn, Axis: hinge, Hi: 1}, geom.Vec{Z: 1}, 30), -pull1 * 30, true},
		{"a lid that screws off", magnets(mechanism.Travel{Kind: mechanism.Helix, Axis: up, Lead: 5, Hi: 40}, geom.Vec{Z: 1}, 0), -pull1 * 5 / (2 * math.Pi), true},
	} {
		got := course(t, c.m)
		p := got.Push()
		if p.Lo > c.push || p.Hi < c.push || p.Hi-p.Lo > 0.4*math.Abs(c.push) {
			t.Errorf("%s: pushed with %v, want %g", c.name, p, c.push)
		}
		if e := got.Part(true); c.parts && (e.Hi < least || e.Lo > most || e.Mid() < 0.9*least || e.Mid() > 1.1*most) {
			t.Errorf("%s: parted by %v, want %g to %g mJ", c.name, e, least, most)
		}
		if h := got.Hold(c.m, true); c.parts && h.Hi > 1e-3 {
			t.Errorf("%s: it resists by %v more on the way, where the pull only falls", c.name, h)
		}
	}
	// a piece of steel of the magnet's size pulls less than a plate, and more than nothing
	m := magnets(lift, geom.Vec{Z: 1}, 0)
	m.Parts[0].Magnets[0].Steel = true
	if got := course(t, m).Push(); got.Hi > -0.1*pull2 || got.Lo > -pull2 {
		t.Errorf("steel: %+v", got)
	}
}

// A magnet that slides off another sideways resists not at all at first and most at half
// its width: at a gap of 1 mm with 1.244192, 1.905393 and 2.050051 N 1, 2 and 3 mm off (the
// Bessel form of D. Vokoun et al., worked out by independent tools).
func TestCourseSideways(t *testing.T) {
	across := mechanism.Travel{Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Lo: -20, Hi: 40}
	m := magnets(across, geom.Vec{Z: 1}, 0)
	c := course(t, m)
	if p := c.Push(); math.Abs(p.Lo) > 0.1 || math.Abs(p.Hi) > 0.1 {
		t.Errorf("in line: %v", p)
	}
	for _, forwards := range []bool{true, false} {
		if h := c.Hold(m, forwards); h.Lo > 1.244192 || h.Lo < 0.8*1.244192 || h.Hi < 2.050051 || h.Hi > 1.4*2.050051 {
			t.Errorf("it holds with %v", h)
		}
	}
	side := map[float64]float64{0: 0, 1: 1.244192, 2: 1.905393, 3: 2.050051}
	told := 0
	for _, k := range c.Along {
		if want, ok := side[math.Abs(k.Value)]; ok {
			told++
			want = -math.Copysign(want, k.Value)
			if k.Push.Lo > want+1e-6 || k.Push.Hi < want-1e-6 {
				t.Errorf("%g mm off: %v, want %g", k.Value, k.Push, want)
			}
		}
	}
	if told != 7 {
		t.Errorf("%d of 7 told", told)
	}
}

// A dial whose magnet passes that of the box at a quarter turn feels it there: drawn on
// before, held back after, the same on either side.
func TestCourseAlongTurn(t *testing.T) {
	m := magnets(mechanism.Travel{Kind: mechanism.Turn, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Lo: -math.Pi, Hi: math.Pi, Full: true}, geom.Vec{Z: 1}, 30)
	m.Start[0] = math.Pi / 2
	c := course(t, m)
	if p := c.Push(); p.Lo < -1 || p.Hi > 1 {
		t.Errorf("far off: %v", p)
	}
	var least, most forces.Interval
	for _, k := range c.Along {
		if k.Push.Lo < least.Lo {
			least = k.Push
		}
		if k.Push.Hi > most.Hi {
			most = k.Push
		}
	}
	// some 2 N at a lever of 30 mm (2.050051 N 3 mm off, the greatest of the table)
	for _, v := range [2]forces.Interval{most, least.Neg()} {
		if v.Hi < 0.75*2.050051*30 || v.Lo > 2.2*30 {
			t.Errorf("passing: %v", v)
		}
	}
}

// The curve of a lid begins with what holds it shut and falls as the table of the pair does.
func TestLidCurve(t *testing.T) {
	m := magnets(mechanism.Travel{Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Hi: 3}, geom.Vec{Z: 1}, 0)
	s := &Survey{}
	if _, err := s.place(m); err != nil {
		t.Fatal(err)
	}
	s.Courses = s.courses(m, forces.Interval{})
	got := s.curve(m, 0)
	want := map[float64]float64{0: pull1, 1: pull2, 3: pull4} // the gap is 1 mm more
	for _, c := range got {
		if w, ok := want[c.By]; ok && (c.Pull.Lo > w || c.Pull.Hi < w) {
			t.Errorf("open by %g mm: %v, want %g", c.By, c.Pull, w)
		}
		delete(want, c.By)
		if c.By > 3 {
			t.Errorf("beyond the travel: %g", c.By)
		}
	}
	if len(want) > 0 {
		t.Errorf("not told: %v", want)
	}
}
