package survey

import (
	"fmt"
	"iter"
	"math"

	"feint/internal/forces"
	"feint/internal/forces/magnet"
	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// pair is two magnets by their place in Magnets.
type pair struct{ a, b int }

// place lists the magnets and reads which of them are meant to attract or repel.
func (s *Survey) place(m *mechanism.Mechanism) (map[pair]magnet.Sense, error) {
	var said []mechanism.Magnet
	for part := range m.Parts {
		for _, g := range m.Parts[part].Magnets {
			c := magnet.Cylinder{D: g.D, L: g.H}
			if !g.Steel {
				grade, err := magnet.GradeOf(g.Grade)
				if err != nil {
					return nil, fmt.Errorf("%s: %q in %q: %w", g.Pos, g.Name, m.Parts[part].Name, err)
				}
				c.Br = grade.At(Warmth())
			}
			s.Magnets = append(s.Magnets, magnet.Placed{Name: g.Name, Part: part, Magnet: c, Centre: g.Center, North: g.North, Steel: g.Steel})
			said = append(said, g)
		}
	}
	meant := map[pair]magnet.Sense{}
	for i := range said {
		for j := range said {
			if s.Magnets[i].Part == s.Magnets[j].Part {
				continue
			}
			k := pair{min(i, j), max(i, j)}
			if said[i].Mates != "" && said[i].Mates == said[j].Name {
				meant[k] = magnet.Attract
			}
			if said[i].Repels != "" && said[i].Repels == said[j].Name {
				meant[k] = magnet.Repel
			}
		}
	}
	return meant, nil
}

// Felt is the least force that counts as two magnets meeting, N: the weight of some ten
// grams, a small printed part.
const Felt = 0.1

// lattice is into how many steps a travel is divided where magnets are looked for, and
// latticeMost how many configurations are looked at where more than two travels lie
// between them, each then divided less finely.
const (
	lattice     = 24
	latticeMost = 4000
)

// far stands for an open limit of a slide, mm.
const far = 100.0

// meet fills Meetings.
func (s *Survey) meet(m *mechanism.Mechanism, meant map[pair]magnet.Sense, growth forces.Interval) {
	for k, w := range s.watchers(m, growth) {
		if got, ok := w.watch(k.a, k.b, meant[k]); ok {
			s.Meetings = append(s.Meetings, got)
		}
	}
}

// watchers yields one for every two magnets, or a magnet and steel, of different parts.
func (s *Survey) watchers(m *mechanism.Mechanism, growth forces.Interval) iter.Seq2[pair, *watcher] {
	return func(yield func(pair, *watcher) bool) {
		for a := range s.Magnets {
			for b := a + 1; b < len(s.Magnets); b++ {
				x, y := &s.Magnets[a], &s.Magnets[b]
				if x.Part == y.Part || x.Steel && y.Steel {
					continue
				}
				if !yield(pair{a, b}, &watcher{m: m, a: x, b: y, growth: growth}) {
					return
				}
			}
		}
	}
}

// watcher looks at two magnets in many configurations.
type watcher struct {
	m      *mechanism.Mechanism
	a, b   *magnet.Placed
	growth forces.Interval
}

func (w *watcher) watch(a, b int, meant magnet.Sense) (Meeting, bool) {
	out := Meeting{A: a, B: b, Meant: meant}
	qs := w.configs()
	best := 0
	for i, q := range qs {
		if w.middles(q) < w.middles(qs[best])-1e-9 {
			best = i
		}
	}
	near := w.nearest(qs[best])
	out.Nearest = w.at(near)
	if meant == magnet.Neither {
		return out, felt(out.Nearest.Meeting)
	}
	for _, q := range append(qs, near) {
		if w.apart(q) > w.reach() {
			continue
		}
		p := w.at(q)
		if contrary(meant, &p, &out.Nearest) && (out.Against == nil || math.Abs(p.Pull.Mid()) > math.Abs(out.Against.Pull.Mid())) {
			out.Against = &p
		}
	}
	return out, true
}

func felt(m magnet.Meeting) bool {
	return max(math.Abs(m.Pull.Lo), math.Abs(m.Pull.Hi), m.Side.Hi) > Felt
}

// reach is how far apart magnets are no longer looked at, mm: at three times their size
// next to nothing is felt (far field, fourth power).
func (w *watcher) reach() float64 {
	return 3 * max(w.a.Magnet.D, w.a.Magnet.L, w.b.Magnet.D, w.b.Magnet.L)
}

// steps is into how many parts each travel between the magnets' parts is divided.
func (w *watcher) steps() int {
	n := len(w.m.Between(w.a.Part, w.b.Part))
	if n <= 2 {
		return lattice
	}
	return min(lattice, max(2, int(math.Pow(latticeMost, 1/float64(n)))-1))
}

// configs is the start and the lattice of the travels between the magnets' parts.
func (w *watcher) configs() [][]float64 {
	out := [][]float64{w.m.Start}
	js := w.m.Between(w.a.Part, w.b.Part)
	n := w.steps()
	var fill func(q []float64, k int)
	fill = func(q []float64, k int) {
		if k == len(js) {
			out = append(out, append([]float64(nil), q...))
			return
		}
		t := js[k].Travel
		lo, hi := w.limits(t)
		for i := range n + 1 {
			q[t] = lo + (hi-lo)*float64(i)/float64(n)
			fill(q, k+1)
		}
	}
	fill(append([]float64(nil), w.m.Start...), 0)
	// each travel by itself, finely
	for _, j := range js {
		lo, hi := w.limits(j.Travel)
		for i := range lattice + 1 {
			q := append([]float64(nil), w.m.Start...)
			q[j.Travel] = lo + (hi-lo)*float64(i)/lattice
			out = append(out, q)
		}
	}
	return out
}

func (w *watcher) limits(t int) (lo, hi float64) {
	v := &w.m.Travels[t]
	return max(v.Lo, -far), min(v.Hi, far)
}

func (w *watcher) placed(q []float64) (a, b magnet.Placed) {
	move := func(p *magnet.Placed) magnet.Placed {
		g, o := w.m.Pose(p.Part, q), *p
		o.Centre, o.North = g.Apply(p.Centre), g.Turn(p.North)
		return o
	}
	return move(w.a), move(w.b)
}

func (w *watcher) apart(q []float64) float64 {
	a, b := w.placed(q)
	return magnet.Apart(&a, &b)
}

// middles is how far apart the middles are, mm: least where the magnets stand in line.
func (w *watcher) middles(q []float64) float64 {
	a, b := w.placed(q)
	return r3.Norm(r3.Sub(a.Centre, b.Centre))
}

// nearest goes from q to where the magnets are nearest, one travel at a time by halved
// steps.
func (w *watcher) nearest(q []float64) []float64 {
	q = append([]float64(nil), q...)
	js := w.m.Between(w.a.Part, w.b.Part)
	for scale := 1.0 / lattice; scale > 1e-4; scale /= 2 {
		for _, j := range js {
			lo, hi := w.limits(j.Travel)
			was := q[j.Travel]
			best, at := w.middles(q), was
			for _, v := range [2]float64{max(lo, was-scale*(hi-lo)), min(hi, was+scale*(hi-lo))} {
				q[j.Travel] = v
				if d := w.middles(q); d < best-1e-9 {
					best, at = d, v
				}
			}
			q[j.Travel] = at
		}
	}
	return q
}

// at is what the magnets do at q, over the growths asked: two mating surfaces come closer
// or farther by both their growths.
func (w *watcher) at(q []float64) Place {
	ms := []magnet.Placed{*w.a, *w.b}
	pose := func(p int) geom.Motion { return w.m.Pose(p, q) }
	return Place{Config: q, Meeting: magnet.Meet(ms, 0, 1, pose, w.growth.Scale(2))}
}
