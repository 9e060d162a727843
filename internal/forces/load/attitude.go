package load

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Faces are the six attitudes in which a box rests on a face: the directions of
// the box that point to the ground, upright first (-z), then +z, -x, +x, -y, +y.
func Faces() [6]geom.Vec {
	return [6]geom.Vec{{Z: -1}, {Z: 1}, {X: -1}, {X: 1}, {Y: -1}, {Y: 1}}
}

// Directions are the middles of the faces, in the order of Faces, and then those of the
// edges and the corners of a cube, 26 unit vectors.
func Directions() []geom.Vec {
	faces := Faces()
	out := faces[:]
	for _, n := range []int{2, 3} {
		for i := range 27 {
			v := geom.Vec{X: float64(i%3) - 1, Y: float64(i/3%3) - 1, Z: float64(i/9) - 1}
			if int(math.Abs(v.X)+math.Abs(v.Y)+math.Abs(v.Z)) == n {
				out = append(out, r3.Unit(v))
			}
		}
	}
	return out
}

// Sphere gives n directions, each the middle of an equal share of the sphere, the
// same on every call: a lattice on the golden angle (A. Gonzalez, "Measurement of
// areas on a sphere using Fibonacci and latitude-longitude lattices", Mathematical
// Geosciences 42 (2010) 49). No direction is farther than Spacing(n) from one of
// them.
func Sphere(n int) []geom.Vec {
	golden := math.Pi * (3 - math.Sqrt(5))
	out := make([]geom.Vec, n)
	for i := range out {
		z := 1 - (2*float64(i)+1)/float64(n)
		s, c := math.Sincos(golden * float64(i))
		r := math.Sqrt(1 - z*z)
		out[i] = geom.Vec{X: r * c, Y: r * s, Z: z}
	}
	return out
}

// Spacing is how far, in radians, a direction can be from the nearest of Sphere(n),
// n at least 6: the hole at the poles, measured to be the largest, is below this.
func Spacing(n int) float64 { return 3 / math.Sqrt(float64(n)) }

// Attitude is one point of a map: which way is down, and what that sets free.
type Attitude struct {
	Down geom.Vec
	Free []Freed // in the order of the travels
}

// Map tells for every attitude what tilting to it sets free.
func Map(ts []Travel, downs []geom.Vec) []Attitude {
	out := make([]Attitude, len(downs))
	for i, d := range downs {
		out[i] = Attitude{Down: d, Free: make([]Freed, len(ts))}
		for k := range ts {
			out[i].Free[k] = ts[k].tilted(d)
		}
	}
	return out
}

// tilted is Under a tilt without the margins, which cost a search.
func (t *Travel) tilted(down geom.Vec) Freed {
	a := r3.Scale(forces.Gravity, down)
	one := func(way sense) Way {
		s := t.under(a, 0, way, t.Friction)
		return s.answer()
	}
	return Freed{one(forward), one(backward)}
}

// answer fills all but the margin.
func (s state) answer() Way {
	w := Way{Free: s.drive.Exceeds(s.resist), Drive: s.drive, Resist: s.resist}
	switch w.Free {
	case forces.Yes:
		w.Reach = forces.Interval{Lo: math.Inf(1), Hi: math.Inf(1)}
	case forces.Maybe:
		w.Reach = forces.Interval{Hi: math.Inf(1)}
	case forces.No:
	}
	return w
}

// turnTo is the direction at the angle from d, on the great circle through side, a
// unit vector across d.
func turnTo(d, side geom.Vec, angle float64) geom.Vec {
	s, c := math.Sincos(angle)
	return r3.Add(r3.Scale(c, d), r3.Scale(s, side))
}
