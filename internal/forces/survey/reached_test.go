package survey

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/magnet"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// TestKeep: a dial with a magnet that passes two of the box, one drawn to it and, a quarter
// turn on, one that pushes it off. Where a stop keeps it from the second, that one does not
// count; and what may be reached only partly counts as far as that.
func TestKeep(t *testing.T) {
	m := magnets(mechanism.Travel{Kind: mechanism.Turn, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Hi: math.Pi}, geom.Vec{Z: 1}, 30)
	box := &m.Parts[0]
	box.Magnets[0].Name, box.Magnets[0].Mates = "drawn", "m"
	off := mechanism.Magnet{Name: "off", D: 6, H: 3, Center: geom.Vec{Y: 30, Z: -2}, North: geom.Vec{Z: -1}, Grade: "N35", Mates: "m"}
	box.Magnets = append(box.Magnets, off)
	look := func(upTo float64) []Meeting {
		s := &Survey{}
		meant, err := s.place(m)
		if err != nil {
			t.Fatal(err)
		}
		s.meet(m, meant, forces.Interval{})
		s.Keep(m, forces.Interval{}, func(bs []mechanism.Bound) bool { return bs[0].Lo <= upTo })
		return s.Meetings
	}
	// nearest is a millimetre apart: pull1 of the table, pushing where north faces north
	got := look(math.Pi)
	if len(got) != 2 || got[0].Against != nil || !got[0].Nearest.Pull.Has(pull1) {
		t.Fatalf("free: %+v", got)
	}
	if k := got[1].Against; k == nil || k.Sense != magnet.Repel || !k.Pull.Has(-pull1) || math.Abs(k.Config[0]-math.Pi/2) > 0.02 {
		t.Errorf("free: against %+v", got[1].Against)
	}
	// ten degrees before it they are 5.2 mm beside each other and push less
	got = look(80 * math.Pi / 180)
	if k := got[1].Against; k != nil && (k.Config[0] > 85*math.Pi/180 || k.Pull.Lo < -pull1/2) {
		t.Errorf("as far as 80 deg: %+v", k)
	}
	if got = look(math.Pi / 4); got[1].Against != nil || got[1].Nearest.Config[0] > 50*math.Pi/180 {
		t.Errorf("as far as 45 deg: %+v", got[1])
	}
}
