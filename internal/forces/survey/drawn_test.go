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

func TestDrawnAt(t *testing.T) {
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
		{"a hinged lid", magnets(mechanism.Travel{Kind: mechanism.Turn, Axis: hinge, Hi: 2}, geom.Vec{Z: 1}, 30), -pull1 * 30, true},
		{"a lid that slides across", magnets(mechanism.Travel{Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Hi: 40}, geom.Vec{Z: 1}, 0), 0, false},
	} {
		got, err := DrawnAt(c.m, forces.Interval{})
		if err != nil {
			t.Fatal(err)
		}
		p := got[0].Push
		if p.Lo > c.push || p.Hi < c.push || p.Hi-p.Lo > 0.3*math.Abs(c.push) {
			t.Errorf("%s: pushed with %v, want %g", c.name, p, c.push)
		}
		if e := got[0].Part; c.parts && (e.Hi < least || e.Lo > most || e.Mid() < least || e.Mid() > most) {
			t.Errorf("%s: parted by %v, want %g to %g mJ", c.name, e, least, most)
		}
	}
	// a piece of steel pulls with more than nothing, nobody knows how much more
	m := magnets(lift, geom.Vec{Z: 1}, 0)
	m.Parts[0].Magnets[0].Steel = true
	got, err := DrawnAt(m, forces.Interval{})
	if err != nil || got[0].Push.Hi < -1e-9 || got[0].Push.Lo > -pull2 {
		t.Errorf("steel: %+v, %v", got, err)
	}
}

// The curve of a lid begins with what holds it shut and falls as the table of the pair does.
func TestLidCurve(t *testing.T) {
	m := magnets(mechanism.Travel{Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Hi: 3}, geom.Vec{Z: 1}, 0)
	s := &Survey{}
	if _, err := s.place(m); err != nil {
		t.Fatal(err)
	}
	got := s.curve(m, 0, forces.Interval{})
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
