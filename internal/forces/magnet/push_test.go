package magnet

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// two are magnets of 6 x 3 mm and exactly 1.2 T (with no recoil the table's values are the
// upper ends), north the same way, b at the place.
func two(at geom.Vec) (a, b *Placed) {
	c := Cylinder{D: 6, L: 3, Br: forces.Exact(1.2)}
	return &Placed{Magnet: c, North: geom.Vec{Z: 1}}, &Placed{Magnet: c, North: geom.Vec{Z: 1}, Centre: at}
}

// TestPushBeside: the pull and the force sideways by the Bessel form of D. Vokoun et al., J.
// Magn. Magn. Mater. 321 (2009) 3758, at a gap of 1 mm, as independent tools work it out;
// of a turn about an axis beside, their moment.
func TestPushBeside(t *testing.T) {
	for _, k := range []struct{ x, axial, side float64 }{{1, 3.927442, 1.244192}, {2, 2.828295, 1.905393}, {3, 1.667230, 2.050051}} {
		a, b := two(geom.Vec{X: k.x, Z: 4})
		for _, c := range []struct {
			name string
			v    geom.Vec
			want float64
		}{{"up", geom.Vec{Z: 1}, -k.axial}, {"sideways", geom.Vec{X: 1}, -k.side}, {"across", geom.Vec{Y: 1}, 0}} {
			got := Push(a, b, func(geom.Vec) geom.Vec { return c.v }, forces.Interval{})
			if slack := 1e-6; got.Lo > c.want+slack || got.Hi < c.want-slack || got.Width() > 0.16*math.Hypot(k.axial, k.side) {
				t.Errorf("%g mm beside, %s: %v, want %g", k.x, c.name, got, c.want)
			}
		}
	}
}

// energy is that of b in the field of a, mJ, by another way than the forces: the work of
// bringing b in from far along a straight line, by Simpson's rule.
func energy(a, b *Placed) float64 {
	const n, far = 240, 60.0
	dir := r3.Unit(r3.Add(b.Centre, geom.Vec{Z: 1e-6}))
	sum := 0.0
	for i := range n + 1 {
		w := 2.0
		if i%2 == 1 {
			w = 4
		}
		if i == 0 || i == n {
			w = 1
		}
		s := math.Pow(float64(i)/n, 3) // closer where it is steep; ds = 3 u2 du
		c := *b
		c.Centre = r3.Add(b.Centre, r3.Scale(far*s, dir))
		u := float64(i) / n
		sum += w / (3 * n) * far * 3 * u * u * r3.Dot(Askew(a, &c), dir)
	}
	return sum // the work that the field does on the way out is minus the energy
}

// TestPushIsSlope: what pushes a travel is the slope of the energy along it, for a turn, a
// helix and a slide of magnets that stand askew and beside each other.
func TestPushIsSlope(t *testing.T) {
	if testing.Short() {
		t.Skip("adds up the energy in many places")
	}
	a, b := two(geom.Vec{X: 4, Y: 1, Z: 5})
	b.North = r3.Unit(geom.Vec{X: 0.5, Y: -0.3, Z: 0.8})
	axis := geom.Line{Point: geom.Vec{X: 9, Y: -2}, Dir: r3.Unit(geom.Vec{X: 0.2, Y: 1, Z: 0.4})}
	for name, lead := range map[string]float64{"turn": 0, "helix": 7} {
		move := func(by float64) *Placed {
			g := geom.Rotation(axis, by)
			c := *b
			c.Centre = r3.Add(g.Apply(b.Centre), r3.Scale(lead*by/(2*math.Pi), axis.Dir))
			c.North = g.Turn(b.North)
			return &c
		}
		going := func(p geom.Vec) geom.Vec {
			return r3.Add(r3.Cross(axis.Dir, r3.Sub(p, axis.Point)), r3.Scale(lead/(2*math.Pi), axis.Dir))
		}
		const h = 0.02
		want := 1.2 * 1.2 * (-energy(a, move(-h)) + energy(a, move(h))) / (2 * h) * -1
		got := Push(a, b, going, forces.Interval{})
		if got.Lo > want || got.Hi < want || got.Width() > 0.25*math.Abs(want) {
			t.Errorf("%s: %v, the energy's slope %g", name, got, want)
		}
	}
}
