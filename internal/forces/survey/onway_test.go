package survey

import (
	"math"
	"slices"
	"testing"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// TestOnWay: a lid over a tray that slides out from under it with the magnet. As at the
// start the lid takes 4.459746 N (see pull1) to lift; once the tray is 60 mm away it takes
// nothing. The tray itself, drawn out first, is drawn back; the most is that of a sideways
// offset, 2.0 N and more at 3 mm (Bessel form, computed, 2.050051 N for a gap of 1 mm).
func TestOnWay(t *testing.T) {
	up := geom.Vec{Z: 1}
	put := func(z float64) []mechanism.Magnet {
		return []mechanism.Magnet{{Name: "m", D: 6, H: 3, Center: geom.Vec{Z: z}, North: up, Grade: "N35"}}
	}
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Frame: true, Carrier: -1},
			{Name: "tray", Carrier: 0, Travels: []int{0}, Magnets: put(-2)},
			{Name: "lid", Carrier: 0, Travels: []int{1}, Magnets: put(2)},
		},
		Travels: []mechanism.Travel{
			{Part: 1, Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Hi: 60},
			{Part: 2, Kind: mechanism.Slide, Axis: geom.Line{Dir: up}, Hi: 40},
		},
		Start: []float64{0, 0},
	}
	s := &Survey{}
	if _, err := s.place(m); err != nil {
		t.Fatal(err)
	}
	lift := Run{Move: 1, Travel: 1, To: 20, Before: m.Start}
	s.Follow(m, forces.Interval{}, []Run{lift})
	if len(s.OnWay) != 1 {
		t.Fatalf("%+v", s.OnWay)
	}
	if k := s.OnWay[0]; k.Differs || k.At != 0 || k.Takes.Lo > pull1 || k.Takes.Hi < pull1 || k.Takes != k.Otherwise {
		t.Errorf("lifted first: %+v", k)
	}
	draw := Run{Move: 1, Travel: 0, To: 60, Before: m.Start}
	lift.Move, lift.Before = 2, []float64{60, 0}
	s.Follow(m, forces.Interval{}, []Run{draw, lift})
	if len(s.OnWay) != 2 {
		t.Fatalf("%+v", s.OnWay)
	}
	if k := s.OnWay[0]; k.Takes.Hi < 2.050051 || k.Takes.Lo > 2.2 || k.At < 2 || k.At > 4.5 {
		t.Errorf("drawn out: %+v at %g", k.Takes, k.At)
	}
	if k := s.OnWay[1]; !k.Differs || math.Abs(k.Takes.Hi) > 1e-9 || k.Otherwise.Hi < pull1 {
		t.Errorf("lifted then: %+v, as at the start %+v", k.Takes, k.Otherwise)
	}
	// to and fro the same pushes are met
	back := draw
	back.From, back.To = draw.To, draw.From
	s.Follow(m, forces.Interval{}, []Run{draw, back})
	there, again := s.OnWay[0].Along, slices.Clone(s.OnWay[1].Along)
	slices.Reverse(again)
	for i := range there {
		if math.Abs(there[i].Value-again[i].Value) > 1e-9 || math.Abs(there[i].Push.Lo-again[i].Push.Lo) > 1e-6 {
			t.Fatalf("at %g: %v, back %v", there[i].Value, there[i].Push, again[i].Push)
		}
	}
	if k := s.OnWay[1]; k.Takes.Hi > Felt { // beside the rim the field comes back, and little is felt of it
		t.Errorf("drawn in it is pushed on: %+v", k.Takes)
	}
}
