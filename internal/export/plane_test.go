package export

import "testing"

// What is written badly is refused; a plane's point and normal are told by hand.
func TestReadPlane(t *testing.T) {
	for _, bad := range []string{"", "w=1", "x=", "x=NaN", "1,2,3", "0,0,0,1", "x=1,2"} {
		if l, err := ReadPlane(bad); err == nil {
			t.Errorf("%q gave %v", bad, l)
		}
	}
	l, err := ReadPlane("0, 0, 2, 10")
	if err != nil || l.Dir.Z != 1 || l.Point.Z != 5 {
		t.Errorf("%v, %v", l, err)
	}
}

func TestReadPlate(t *testing.T) {
	for _, bad := range []string{"", "200", "200x", "0x200", "200x200x-1", "NaNx200", "1x2x3x4"} {
		if p, err := ReadPlate(bad); err == nil {
			t.Errorf("%q gave %v", bad, p)
		}
	}
	if p, err := ReadPlate("180 X 200x190"); err != nil || p != (Plate{Width: 180, Depth: 200, Height: 190}) {
		t.Errorf("%v, %v", p, err)
	}
}
