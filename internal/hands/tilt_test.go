package hands_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/mass"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// TestTiltAgainstSimulation: the same bars run at the same tilt as in a rigid-body
// simulation that is not ours (testdata/reference/tilt, Bullet 3.24), within 2 degrees
// where they lie on one wall, or nearly so. A bar that presses on two flat walls at
// once has up to the square root of 2 of the friction that the resultant gives: there
// the simulated tilt must lie between the two.
func TestTiltAgainstSimulation(t *testing.T) {
	const deg = math.Pi / 180
	bars := map[string]struct {
		dir, axis geom.Vec
		mu        float64
		two       bool // presses on two walls
	}{
		"level bar":     {geom.Vec{X: 1}, geom.Vec{Y: 1}, 0.3, false},
		"ramp bar":      {geom.Vec{X: math.Cos(10 * deg), Z: math.Sin(10 * deg)}, geom.Vec{Y: 1}, 0.3, false},
		"cross long":    {geom.Vec{X: 1}, geom.Vec{X: -math.Sin(12 * deg), Y: math.Cos(12 * deg)}, 0.2, false},
		"cross oblique": {geom.Vec{X: math.Cos(60 * deg), Y: math.Sin(60 * deg)}, geom.Vec{X: -math.Sin(12 * deg), Y: math.Cos(12 * deg)}, 0.2, true},
	}
	text, err := os.ReadFile("../../testdata/reference/tilt/tilt.txt")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	if len(lines) != len(bars) {
		t.Fatalf("%d lines", len(lines))
	}
	for _, line := range lines {
		var mech, name string
		var simulated float64
		if _, err := fmt.Sscan(line, &mech, &name, &simulated); err != nil {
			t.Fatal(err)
		}
		b := bars[mech+" "+name]
		corner := 1.0
		if b.two {
			corner = math.Sqrt2 // of square walls, as guides of a channel are read: load.Guide
		}
		from, most := runsFrom(b.dir, b.axis, b.mu, corner)
		if simulated < from-2 || simulated > most+2 {
			t.Errorf("%s: simulated from %.2f deg on, computed %.2f to %.2f", line, simulated, from, most)
		}
	}
}

// runsFrom is the least tilt about the axis, degrees, at which the weight may move a
// slide along dir either way, and that from which it certainly does.
func runsFrom(dir, axis geom.Vec, mu, corner float64) (may, does float64) {
	tr := load.Travel{
		Kind: mechanism.Slide, Axis: geom.Line{Dir: dir}, Mass: mass.Properties{Mass: 0.001},
		Friction: forces.Exact(mu), Guide: load.Guide{Corner: corner},
	}
	may = 90
	for a := 0.0; a < 90; a += 0.01 {
		// the box is tilted, so in it the weight turns the other way
		back := geom.Rotation(geom.Line{Dir: axis}, -a*math.Pi/180)
		down := back.Turn(geom.Vec{Z: -1})
		f := load.Map([]load.Travel{tr}, []geom.Vec{down})[0].Free[0]
		if f.Forward.Free != forces.No || f.Backward.Free != forces.No {
			may = min(may, a)
		}
		if f.Forward.Free == forces.Yes || f.Backward.Free == forces.Yes {
			return may, a
		}
	}
	return may, 90
}
