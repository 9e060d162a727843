package magnet

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Placed is a magnet, or a piece of steel, in a part as drawn.
type Placed struct {
	Name   string
	Part   int
	Magnet Cylinder
	Centre geom.Vec // in the frame of the assembly with every travel at 0
	North  geom.Vec // unit, from the south to the north pole; of steel the axis of the piece
	Steel  bool     // soft steel: drawn to either pole
}

// Sense is what two magnets do to each other.
type Sense uint8

// The senses. Across is a force that mainly draws sideways.
const (
	Neither Sense = iota
	Attract
	Repel
	Across
)

func (s Sense) String() string { return [...]string{"neither", "attract", "repel", "across"}[s] }

// Meeting is a pair of placed magnets that come near in one configuration.
type Meeting struct {
	A, B  int
	Apart float64         // least distance of the two, from below, mm
	Sense Sense           // on the line of their centres
	Pull  forces.Interval // on that line, N; negative pushes
	Side  forces.Interval // across it, N

	Unsure string // of steel, why the least pull is not told; empty where it is
}

// Meetings lists every pair of different parts that is less than within mm apart when
// pose gives where each part stands. The order is that of ms. Steel with steel is left
// out; steel with a magnet is a thick plate where they face, which overstates the pull of
// a small piece: its lower end is 0.
func Meetings(ms []Placed, pose func(part int) geom.Motion, within float64) []Meeting {
	now := stand(ms, pose)
	var out []Meeting
	for i := range now {
		for j := i + 1; j < len(now); j++ {
			a, b := &now[i], &now[j]
			if a.Part == b.Part || a.Steel && b.Steel {
				continue
			}
			if Apart(a, b) <= within {
				out = append(out, meet(i, j, a, b, forces.Interval{}))
			}
		}
	}
	return out
}

// Meet is what the magnets i and j of ms do to each other, near or far, when each surface
// between them may be off: closer is by how much they come closer in all, mm, negative if
// they go apart.
func Meet(ms []Placed, i, j int, pose func(part int) geom.Motion, closer forces.Interval) Meeting {
	now := stand(ms, pose)
	return meet(i, j, &now[i], &now[j], closer)
}

// stand moves all magnets to where their parts are.
func stand(ms []Placed, pose func(part int) geom.Motion) []Placed {
	now := make([]Placed, len(ms))
	for i, m := range ms {
		g := pose(m.Part)
		m.Centre, m.North = g.Apply(m.Centre), g.Turn(m.North)
		now[i] = m
	}
	return now
}

// meet gives the sense as drawn, and the forces over the range of closeness.
func meet(i, j int, a, b *Placed, closer forces.Interval) Meeting {
	out := Meeting{A: i, B: j, Apart: Apart(a, b)}
	out.force(a, b)
	d := r3.Sub(a.Centre, b.Centre)
	l := r3.Norm(d)
	if l == 0 {
		return out
	}
	for _, c := range [2]float64{closer.Lo, closer.Hi} {
		if c == 0 {
			continue
		}
		moved := *b
		moved.Centre = r3.Add(b.Centre, r3.Scale(min(c, out.Apart)/l, d))
		o := Meeting{Apart: Apart(a, &moved)}
		o.force(a, &moved)
		out.Pull, out.Side = out.Pull.Union(o.Pull), out.Side.Union(o.Side)
		if out.Unsure == "" {
			out.Unsure = o.Unsure
		}
	}
	return out
}

// Apart is the distance of two cylinders along the line of their centres, no more than
// their true distance: each lies within the slab that its support on that line gives.
func Apart(a, b *Placed) float64 {
	d := r3.Sub(b.Centre, a.Centre)
	l := r3.Norm(d)
	if l == 0 {
		return 0
	}
	d = r3.Scale(1/l, d)
	for _, m := range [2]*Placed{a, b} {
		c := math.Abs(r3.Dot(d, m.North))
		l -= m.Magnet.L/2*c + m.Magnet.radius()*math.Sqrt(max(0, 1-c*c))
	}
	return max(0, l)
}

// even is the share of the whole force below which its part on the line of centres is
// not told as a pull or a push.
const even = 0.2

func (m *Meeting) force(a, b *Placed) {
	if a.Steel || b.Steel {
		if a.Steel {
			a, b = b, a
		}
		m.steel(a, b)
		return
	}
	f, off := stacked(a, b)
	if off < 0 {
		f = Askew(a, b)
		off = askewError * r3.Norm(f)
	}
	d := r3.Sub(a.Centre, b.Centre)
	k := a.Magnet.Br.Mul(b.Magnet.Br).Mul(Recoil())
	pull := 0.0
	if l := r3.Norm(d); l > 0 {
		pull = r3.Dot(f, d) / l
	}
	side := math.Sqrt(max(0, r3.Norm2(f)-pull*pull))
	whole := r3.Norm(f)
	m.Pull = forces.About(pull, off).Mul(k)
	m.Side = forces.About(side, off).Positive().Mul(k)
	switch {
	case whole == 0:
	case pull > even*whole:
		m.Sense = Attract
	case pull < -even*whole:
		m.Sense = Repel
	default:
		m.Sense = Across
	}
}

// parallel is how far from 1 the cosine of two axes may be for them to count as parallel:
// a hundredth of a degree, which moves a rim by a thousandth of its radius at most.
const parallel = 1e-8

// stacked is the force on b from a as Askew gives it, for magnets with parallel axes of
// which one lies wholly before the other's face, by the integral of Beside; the error is
// negative if they do not lie so.
func stacked(a, b *Placed) (f geom.Vec, off float64) {
	c := r3.Dot(a.North, b.North)
	if math.Abs(c) < 1-parallel {
		return f, -1
	}
	d := r3.Sub(b.Centre, a.Centre)
	h := r3.Dot(d, a.North)
	side := r3.Sub(d, r3.Scale(h, a.North))
	gap := math.Abs(h) - (a.Magnet.L+b.Magnet.L)/2
	if gap < 0 {
		return f, -1
	}
	x := r3.Norm(side)
	g, off := Beside(a.Magnet.D, a.Magnet.L, b.Magnet.D, b.Magnet.L, gap, x)
	k := math.Copysign(1, c) // like directions attract in a stack
	f = r3.Scale(-k*g.Axial*math.Copysign(1, h), a.North)
	if x > 0 {
		f = r3.Add(f, r3.Scale(-k*g.Side/x, side))
	}
	return f, off
}

// The rings and spokes by which Askew divides a face, and its error as a share of the
// force: a tenth of a radius apart discs are told to a hundredth, farther off to better
// (the tests hold it to that); nearer it grows.
const (
	askewError = 0.01
	rings      = 12
	spokes     = 48
)

// Askew is the force on b from a at any attitude, for remanences of 1 T each, N: the
// field of a on the charges of b's faces. The magnets do not overlap.
func Askew(a, b *Placed) geom.Vec {
	var sum geom.Vec
	b.faces(func(p geom.Vec, share float64) { sum = r3.Add(sum, r3.Scale(share, a.fieldAt(p))) })
	return sum
}

// fieldAt is the field of the magnet at p for 1 T.
func (m *Placed) fieldAt(p geom.Vec) geom.Vec {
	d := r3.Sub(p, m.Centre)
	h := r3.Dot(d, m.North)
	side := r3.Sub(d, r3.Scale(h, m.North))
	rho := r3.Norm(side)
	along, out := m.Magnet.Field(1, rho, h-m.Magnet.L/2)
	v := r3.Scale(along, m.North)
	if rho > 0 {
		v = r3.Add(v, r3.Scale(out/rho, side))
	}
	return v
}
