package survey

import (
	"math"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/magnet"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// along is the least cosine of the angle between a slide and the line of two magnets'
// centres at which the pull counts as holding the slide.
const along = 0.7

// lids finds the parts that mating magnets hold at the start against a slide.
func (s *Survey) lids(m *mechanism.Mechanism, box *load.Box, meshes []*mesh.Mesh, growth forces.Interval) {
	for t := range m.Travels {
		if m.Travels[t].Kind != mechanism.Slide {
			continue
		}
		tr := box.Travel(t, m.Start)
		l := Lid{Part: m.Travels[t].Part, Travel: t, Mass: tr.Mass.Mass}
		var pulls []magnet.Pull
		for _, p := range s.Meetings {
			if p.Meant != magnet.Attract {
				continue
			}
			if at, pull, ok := s.holds(m, l.Part, p, tr.Axis.Dir, growth); ok {
				pulls = append(pulls, magnet.Pull{At: at, Force: pull})
			}
		}
		if len(pulls) == 0 || l.Mass <= 0 {
			continue
		}
		l.Count, l.Each, l.Pull = len(pulls), pulls[0].Force, magnet.Total(pulls)
		for _, p := range pulls {
			l.Each = l.Each.Union(p.Force)
		}
		l.Need, _ = magnet.Need(l.Each, l.Mass, Level, Factor)
		l.Peel = l.Pull // of the mates
		if meshes[l.Part] != nil {
			l.Peel = peel(pulls, meshes[l.Part].Moved(m.Pose(l.Part, m.Start)), tr.Axis.Dir)
		}
		if l.Curve = s.curve(m, t); len(l.Curve) > 0 && l.Curve[0].By == 0 && l.Curve[0].Pull.Hi > 0 {
			l.Pull = l.Curve[0].Pull.Positive() // with what the magnets do to those that are not their mates
		}
		l.Kept = magnet.Kept([]magnet.Pull{{Force: l.Pull}}, l.Mass, -1)
		s.Lids = append(s.Lids, l)
	}
}

// curve is what pulls a slide back as it opens, as far as near goes.
func (s *Survey) curve(m *mechanism.Mechanism, t int) []Opened {
	tr := &m.Travels[t]
	// away from the end at which it starts
	forwards := tr.Hi-m.Start[t] >= m.Start[t]-tr.Lo
	var out []Opened
	for i := range s.Courses {
		c := &s.Courses[i]
		if c.Travel != t {
			continue
		}
		for _, k := range c.way(forwards) {
			by := math.Round(1e6*math.Abs(k.Value-m.Start[t])) / 1e6
			if by > near()[len(near())-1] {
				break
			}
			out = append(out, Opened{By: by, At: k.Value, Pull: k.Push})
		}
	}
	return out
}

// holds gives the pull of a meeting along the slide of the part, if exactly one of its two
// magnets rides on the part and they hold at the start.
func (s *Survey) holds(m *mechanism.Mechanism, part int, p Meeting, axis geom.Vec, growth forces.Interval) (geom.Vec, forces.Interval, bool) {
	a, b := s.Magnets[p.A], s.Magnets[p.B]
	rides := func(x int) bool {
		for ; x >= 0; x = m.Parts[x].Carrier {
			if x == part {
				return true
			}
		}
		return false
	}
	if rides(a.Part) == rides(b.Part) {
		return geom.Vec{}, forces.Interval{}, false
	}
	w := watcher{m: m, a: &a, b: &b, growth: growth}
	if w.apart(m.Start) > w.reach() {
		return geom.Vec{}, forces.Interval{}, false
	}
	x, y := w.placed(m.Start)
	if rides(b.Part) {
		x, y = y, x
	}
	d := r3.Sub(y.Centre, x.Centre)
	c := math.Abs(r3.Dot(d, axis)) / r3.Norm(d)
	now := w.at(m.Start)
	if !(c > along) || now.Pull.Hi <= 0 || now.Sense != magnet.Attract {
		return geom.Vec{}, forces.Interval{}, false
	}
	return x.Centre, now.Pull.Scale(c).Positive(), true
}

// peel is the least force that tips the lid about a rim of its bounds, the finger at the
// opposite rim.
func peel(pulls []magnet.Pull, m *mesh.Mesh, axis geom.Vec) forces.Interval {
	x, y := geom.Across(axis)
	out := forces.Exact(math.Inf(1))
	for _, d := range [4]geom.Vec{x, y, r3.Scale(-1, x), r3.Scale(-1, y)} {
		lo, hi := geom.Vec{}, geom.Vec{}
		for i, v := range m.V {
			if i == 0 || r3.Dot(v, d) < r3.Dot(lo, d) {
				lo = v
			}
			if i == 0 || r3.Dot(v, d) > r3.Dot(hi, d) {
				hi = v
			}
		}
		// moments about the rim count only what lies across it, not along the axis
		flat := func(v geom.Vec) geom.Vec { return r3.Sub(v, r3.Scale(r3.Dot(v, axis), axis)) }
		ps := make([]magnet.Pull, len(pulls))
		for i, p := range pulls {
			ps[i] = magnet.Pull{At: flat(p.At), Force: p.Force}
		}
		f, err := magnet.Peel(ps, 0, geom.Vec{}, geom.Line{Point: flat(lo), Dir: r3.Cross(axis, d)}, flat(hi))
		if err == nil && f.Lo < out.Lo {
			out = f
		}
	}
	return out
}
