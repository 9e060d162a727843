package magnet

import (
	"math"
	"testing"
)

// Flux indices worked out with independent tools: 6 x 3 mm at 1.2 T, 3 x 1 at 1.2 T,
// 2 x 1 at 1.4 T; 50 kG2 mm2 is the limit of 16 CFR 1262.2.
func TestFluxIndex(t *testing.T) {
	for _, c := range [][4]float64{{6, 3, 1.2, 395.06}, {3, 1, 1.2, 47.38}, {2, 1, 1.4, 31.80}} {
		got := disc(c[0], c[1], c[2]).FluxIndex()
		if math.Abs(got.Mid()-c[3]) > 0.006 {
			t.Errorf("%g x %g, %g T: %.4f, want %g", c[0], c[1], c[2], got.Mid(), c[3])
		}
	}
}

// Closed forms: the axis; Gauss's law: the flux through a sphere about the magnet is 0,
// which a flux out of the front and back and round of a can shows.
func TestField(t *testing.T) {
	c := disc(6, 3, 1.2)
	for _, z := range []float64{0.1, 1, 5, 30} {
		b, out := c.Field(1.2, 0, z)
		near(t, "axis", b, c.OnAxis(1.2, z), 1e-9)
		if math.Abs(out) > 1e-12 {
			t.Errorf("out of the axis: %g", out)
		}
	}
	const n, r, h = 4000, 5.0, 2.0 // can from h over the front to h behind the back
	ends, round := 0.0, 0.0
	for i := range n {
		rho := r * (float64(i) + 0.5) / n
		b, _ := c.Field(1.2, rho, h)
		back, _ := c.Field(1.2, rho, -c.L-h)
		ends += 2 * math.Pi * rho * r / n * (b - back)
		z := -c.L - h + (c.L+2*h)*(float64(i)+0.5)/n
		_, out := c.Field(1.2, r, z)
		round += 2 * math.Pi * r * (c.L + 2*h) / n * out
	}
	if math.Abs(ends+round) > 1e-6 {
		t.Errorf("flux %g out of the ends, %g out of the side", ends, round)
	}
	front, _ := c.Field(1.2, 2, 1)
	back, _ := c.Field(1.2, 2, -c.L-1)
	near(t, "front and back", front, back, 1e-12)
}

// Far off it is a dipole: on the level of the centre half of that on the axis, against it.
func TestFarField(t *testing.T) {
	c := disc(6, 3, 1.2)
	side, out := c.Field(1.2, 300, -1.5)
	near(t, "beside", side, -c.OnAxis(1.2, 298.5)/2, 1e-3)
	if math.Abs(out) > 1e-12 {
		t.Errorf("outwards: %g", out)
	}
}

// Sizes against 16 CFR 1501.4 (31.7 mm across, 25.4 to 57.1 mm deep).
func TestFitsSmallParts(t *testing.T) {
	for _, c := range []struct {
		d, l float64
		want bool
	}{{6, 3, true}, {31, 50, true}, {32, 1, false}, {10, 60, false}} {
		if got := disc(c.d, c.l, 1).FitsSmallParts(); got != c.want {
			t.Errorf("%g x %g: %v", c.d, c.l, got)
		}
	}
}
