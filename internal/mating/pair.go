package mating

import (
	"context"
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// open is the distance at which two parts count as free of each other, mm: a
	// tenth of a tight fit.
	open = 0.02
	// queries is how many configurations of a pair are tried at most: with a
	// distance query of some tenths of a millisecond, well below a second.
	queries = 1200
	// closely is how many of the free configurations are looked at closely.
	closely = 14
	// beyond is how far a travel without a stop is followed, mm.
	beyond = 50.0
)

// pair is one pair of parts.
type pair struct {
	m     *mechanism.Mechanism
	a, b  int
	skins [2]*skin
	o     Options

	travels  []int
	values   [][]float64
	contacts [2]map[int]Contact // by sample, the nearest; of a and of b
	fits     map[fitKey]*Fit
	now      []float64 // the configuration looked at
}

// between lists the travels that move the two against each other, and whether
// there are any.
func (p *pair) between() bool {
	for _, j := range p.m.Between(p.a, p.b) {
		if !slices.Contains(p.travels, j.Travel) {
			p.travels = append(p.travels, j.Travel)
		}
	}
	return len(p.travels) > 0
}

func (p *pair) look(ctx context.Context) error {
	p.contacts = [2]map[int]Contact{{}, {}}
	p.fits = map[fitKey]*Fit{}
	p.grid()
	free, err := p.flood(ctx)
	if err != nil {
		return err
	}
	for _, q := range p.spread(append(free, p.o.Configs...)) {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		p.closeLook(q)
	}
	return nil
}

// steps of the grid by the number of travels between two parts.
func steps(travels int) float64 {
	switch travels {
	case 1:
		return 64
	case 2:
		return 48
	case 3:
		return 12
	}
	return 6
}

// grid lays values along every travel: even steps from the start, and the ends.
func (p *pair) grid() {
	n := steps(len(p.travels))
	for _, k := range p.travels {
		t := &p.m.Travels[k]
		at := p.m.Start[k]
		lo, hi := max(t.Lo, at-beyond), min(t.Hi, at+beyond)
		step := (hi - lo) / n
		vs := []float64{at}
		if t.Full {
			for i := 1.0; i < n; i++ {
				vs = append(vs, at+i*step)
			}
			p.values = append(p.values, vs)
			continue
		}
		if step > 0 {
			for v := at + step; v < hi-step/4; v += step {
				vs = append(vs, v)
			}
			for v := at - step; v > lo+step/4; v -= step {
				vs = append(vs, v)
			}
			vs = append(vs, lo, hi)
		}
		slices.Sort(vs)
		p.values = append(p.values, slices.Compact(vs))
	}
}

// flood goes from the start to neighbouring points of the grid as long as the
// parts stay open clear of each other.
func (p *pair) flood(ctx context.Context) ([][]float64, error) {
	home := make([]int, len(p.travels))
	for k, t := range p.travels {
		home[k] = slices.Index(p.values[k], p.m.Start[t])
	}
	key := func(at []int) int {
		n := 0
		for k, i := range at {
			n = n*len(p.values[k]) + i
		}
		return n
	}
	seen := map[int]bool{key(home): true}
	out := [][]float64{slices.Clone(p.m.Start)}
	todo := [][]int{home}
	tried := 0
	for len(todo) > 0 && tried < queries {
		at := todo[0]
		todo = todo[1:]
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for k := range at {
			for _, d := range [2]int{1, -1} {
				next := slices.Clone(at)
				next[k] += d
				n := len(p.values[k])
				if p.m.Travels[p.travels[k]].Full {
					next[k] = (next[k] + n) % n
				}
				if next[k] < 0 || next[k] >= n || seen[key(next)] {
					continue
				}
				seen[key(next)] = true
				tried++
				q := p.config(next)
				g := p.relative(q)
				if d, _, _ := p.skins[0].tree.Distance(p.skins[1].tree, g, open); d < open {
					continue
				}
				out = append(out, q)
				todo = append(todo, next)
			}
		}
	}
	return out, nil
}

func (p *pair) config(at []int) []float64 {
	q := slices.Clone(p.m.Start)
	for k, t := range p.travels {
		q[t] = p.values[k][at[k]]
	}
	return q
}

// relative carries a as drawn to where it stands to b as drawn.
func (p *pair) relative(q []float64) geom.Motion {
	return p.m.Pose(p.a, q).Then(p.m.Pose(p.b, q).Inverse())
}

// spread picks configurations far apart, the first one first (farthest point
// sampling; travels by their share of their range).
func (p *pair) spread(all [][]float64) [][]float64 {
	apart := func(q, r []float64) float64 {
		d := 0.0
		for k, t := range p.travels {
			vs := p.values[k]
			x := math.Abs(q[t] - r[t])
			if p.m.Travels[t].Full {
				x = math.Mod(x, 2*math.Pi)
				x = min(x, 2*math.Pi-x)
			}
			if w := vs[len(vs)-1] - vs[0]; w > 0 {
				d += x / w * x / w
			}
		}
		return d
	}
	least := make([]float64, len(all))
	for i := range least {
		least[i] = math.Inf(1)
	}
	var out [][]float64
	next := 0
	for len(out) < closely && len(out) < len(all) {
		out = append(out, all[next])
		last := all[next]
		best := -1.0
		next = -1
		for i := range all {
			least[i] = min(least[i], apart(all[i], last))
		}
		for i := range all {
			if least[i] > best {
				best, next = least[i], i
			}
		}
		if best <= 1e-12 {
			break
		}
	}
	return out
}

// closeLook samples both parts in one configuration.
func (p *pair) closeLook(q []float64) {
	p.now = q
	g := p.relative(q)
	vel := p.velocities(q)
	inv := g.Inverse()
	var here [2][]touch
	for side := range 2 {
		own, other := p.skins[side], p.skins[1-side]
		to := g
		if side == 1 {
			to = inv
		}
		for i := range own.samples {
			k, ok := p.contact(other, &own.samples[i], to, vel, side)
			if !ok {
				continue
			}
			here[side] = append(here[side], k)
			if old, ok := p.contacts[side][i]; !ok || k.Gap < old.Gap {
				p.contacts[side][i] = k.Contact
			}
		}
	}
	p.findFits(q, vel, here)
}

// velocity of a relative to b along one travel: v(x) = Turn x + Shift, in b's frame.
type velocity struct {
	travel int
	turn   [3]geom.Vec // rows of the antisymmetric matrix
	shift  geom.Vec
}

// epsilon is the step of the difference quotient, mm or radians; its error is of
// the order of its square.
const epsilon = 1e-5

func (p *pair) velocities(q []float64) []velocity {
	out := make([]velocity, 0, len(p.travels))
	for _, t := range p.travels {
		ahead, behind := slices.Clone(q), slices.Clone(q)
		ahead[t] += epsilon
		behind[t] -= epsilon
		f, b := p.relative(ahead), p.relative(behind)
		// x in b's frame came from a by the middle motion; d/dq of it is (f - b) after its inverse
		inv := p.relative(q).Inverse()
		fi, bi := inv.Then(f), inv.Then(b)
		v := velocity{travel: t, shift: r3.Scale(0.5/epsilon, r3.Sub(fi.T, bi.T))}
		for k := range 3 {
			v.turn[k] = r3.Scale(0.5/epsilon, r3.Sub(fi.R[k], bi.R[k]))
		}
		out = append(out, v)
	}
	return out
}

func (v *velocity) at(x geom.Vec) geom.Vec {
	return geom.Vec{X: r3.Dot(v.turn[0], x) + v.shift.X, Y: r3.Dot(v.turn[1], x) + v.shift.Y, Z: r3.Dot(v.turn[2], x) + v.shift.Z}
}

const (
	// inFront is the least cosine between the way to the other part and the normal:
	// it lies in front of the face, within 37 degrees.
	inFront = 0.8
	// opposite is the greatest cosine between the normals of two faces that slide.
	opposite = -0.5
	// along is the greatest sine between the motion and the face: 10 degrees.
	along = 0.17
)

// touch is a contact with the triangle of the other part that it is nearest to,
// and which of the pair's travels runs along it.
type touch struct {
	Contact
	on  int
	way int
}

// contact tells whether the other part is close in front of a sample and slides
// along it.
func (p *pair) contact(other *skin, s *sample, to geom.Motion, vel []velocity, side int) (touch, bool) {
	at := to.Apply(s.at)
	b := other.box
	if outside(at, b, p.o.Near) {
		return touch{}, false
	}
	d, tri, near := other.tree.Near(at, p.o.Near)
	if tri < 0 || d < open/2 {
		return touch{}, false
	}
	n := to.Turn(s.n)
	face := other.tree.Mesh().Triangle(tri)
	if r3.Dot(r3.Sub(near, at), n) < inFront*d || r3.Dot(face.Normal(), n) > opposite {
		return touch{}, false
	}
	x, nb := at, n // in b's frame
	if side == 1 {
		x, nb = s.at, s.n
	}
	way, shifts := -1, false
	for i := range vel {
		v := vel[i].at(x)
		switch l := r3.Norm(v); {
		case l <= 1e-6:
		case math.Abs(r3.Dot(v, nb)) >= along*l:
			shifts = true
		case way < 0:
			way = i
		}
	}
	if way >= 0 {
		c := Contact{Part: p.a, Other: p.b, Triangle: int(s.tri), At: s.at, Normal: s.n, Area: s.area, Gap: d, Travel: vel[way].travel, Shifts: shifts}
		if side == 1 {
			c.Part, c.Other = p.b, p.a
		}
		return touch{c, tri, way}, true
	}
	return touch{}, false
}

func outside(p geom.Vec, b geom.Box, by float64) bool {
	return p.X < b.Lo.X-by || p.Y < b.Lo.Y-by || p.Z < b.Lo.Z-by || p.X > b.Hi.X+by || p.Y > b.Hi.Y+by || p.Z > b.Hi.Z+by
}
