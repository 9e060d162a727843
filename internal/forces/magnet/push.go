package magnet

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Going is how fast a point goes, mm a unit of a travel.
type Going func(p geom.Vec) geom.Vec

// Push is what a does to a travel that takes b along as going tells, a at rest: the power
// of the forces on the charges of b's faces for a unit of the travel, N or N mm, along
// rising values. Turned magnets, magnets beside each other and torques count. Each surface
// between them may be off: closer is by how much they come closer in all, mm. Neither is
// steel.
func Push(a, b *Placed, going Going, closer forces.Interval) forces.Interval {
	out := push(a, b, going)
	d := r3.Sub(a.Centre, b.Centre)
	l := r3.Norm(d)
	if l == 0 {
		return out
	}
	apart := Apart(a, b)
	for _, c := range [2]float64{closer.Lo, closer.Hi} {
		if c != 0 {
			moved := *b
			moved.Centre = r3.Add(b.Centre, r3.Scale(min(c, apart)/l, d))
			out = out.Union(push(a, &moved, going))
		}
	}
	return out
}

// farEnough is how far apart magnets are, in radii of the larger, from where on the
// faces' charges tell the force to askewError of it, without the integral of Beside.
const farEnough = 0.3

// push adds the power of the whole force, were all of b to go as its centre does, and
// that of the force's moment about the centre.
func push(a, b *Placed, going Going) forces.Interval {
	mid := going(b.Centre)
	f, off := geom.Vec{}, -1.0
	if Apart(a, b) < farEnough*max(a.Magnet.radius(), b.Magnet.radius()) {
		f, off = stacked(a, b)
	}
	turning, most := around(a, b, going, mid)
	if off < 0 {
		f = Askew(a, b)
		off = askewError * r3.Norm(f)
	}
	whole := r3.Dot(f, mid) + turning
	slack := off*r3.Norm(mid) + askewError*(math.Abs(turning)+r3.Norm(f)*most)
	return forces.About(whole, slack).Mul(a.Magnet.Br.Mul(b.Magnet.Br)).Mul(Recoil())
}

// around is the power of the moment about b's centre for 1 T each, and how much faster
// than the centre a point of b goes at the most.
func around(a, b *Placed, going Going, mid geom.Vec) (power, most float64) {
	b.faces(func(p geom.Vec, share float64) {
		v := r3.Sub(going(p), mid)
		if n := r3.Norm(v); n > 0 {
			most = max(most, n)
			power += share * r3.Dot(a.fieldAt(p), v)
		}
	})
	return power, most
}

// faces goes over the charges of the faces for 1 T; share times the flux density there is
// the force on one, N.
func (m *Placed) faces(each func(p geom.Vec, share float64)) {
	x, y := geom.Across(m.North)
	r := m.Magnet.radius()
	for _, face := range [2]float64{1, -1} {
		mid := r3.Add(m.Centre, r3.Scale(face*m.Magnet.L/2, m.North))
		for i := range rings {
			// the middle of equal areas
			rho := r * math.Sqrt((float64(i)+0.5)/rings)
			for k := range spokes {
				s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.5*float64(i%2)) / spokes)
				p := r3.Add(mid, r3.Add(r3.Scale(rho*c, x), r3.Scale(rho*s, y)))
				each(p, face*perMM2*math.Pi*r*r/(rings*spokes))
			}
		}
	}
}
