package strength

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mode is how a feature gives way.
type Mode uint8

// The modes.
const (
	Bends Mode = iota
	Shears
)

func (m Mode) String() string { return [...]string{"bends off", "shears off"}[m] }

// Feature is a pin, web, lug or lip that stands out of a part.
type Feature struct {
	Dir    geom.Vec        // which way it stands out, unit
	Tip    geom.Vec        // middle of its last section
	Length float64         // from its root to its tip, mm
	Root   float64         // area of the section at its root, mm2
	Weak   Section         // where it gives way
	Lever  float64         // from there to the tip, mm
	Force  forces.Interval // at the tip across it, in the weakest direction, N
	Mode   Mode
}

// The thresholds of what counts as a feature: it stands out at least least mm, and where
// it ends in the body the section grows to more than base times its own.
const (
	least = 0.8
	base  = 2.0
	// cuts is how many sections are laid through a part along each axis, thinnest the
	// least distance of two, mm.
	cuts     = 80
	thinnest = 0.2
)

// Features finds what stands out of the part along the axes of its frame, weakest first,
// for the strength s and layers across the unit vector up. Sections are laid through the
// part; a piece that ends within the next section, and grows into something at least
// twice as large, is a feature. Each of its sections is asked what force at the tip breaks
// it: s in bending, s/sqrt(3) in shear with one and a half times the mean. Features under
// two widths apart of a slanted or curved kind may be missed; that none is found proves
// nothing.
func Features(m *mesh.Mesh, s Strength, up geom.Vec) []Feature {
	var out []Feature
	for _, d := range []geom.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		layers := lay(m, d)
		out = append(out, tips(layers, d, s, up)...)
		slices.Reverse(layers)
		out = append(out, tips(layers, r3.Scale(-1, d), s, up)...)
	}
	slices.SortStableFunc(out, func(a, b Feature) int { return cmp.Compare(a.Force.Lo, b.Force.Lo) })
	return out
}

// layer is one section through a part and where it lies along the axis.
type layer struct {
	h      float64
	pieces []Section
}

func lay(m *mesh.Mesh, d geom.Vec) []layer {
	if len(m.V) == 0 {
		return nil
	}
	b := m.Bounds()
	lo, hi := r3.Dot(b.Lo, d), r3.Dot(b.Hi, d)
	n := int(min(cuts, max(3, (hi-lo)/thinnest)))
	level := func(i int) float64 { return lo + (hi-lo)*(float64(i)+0.5)/float64(n) }
	h := make([]float64, len(m.V))
	for i, v := range m.V {
		h[i] = r3.Dot(v, d)
	}
	in := make([][][3]int32, n) // the triangles that each section may meet
	for _, t := range m.T {
		a, b, c := h[t[0]], h[t[1]], h[t[2]]
		first := max(0, int((min(a, b, c)-lo)/(hi-lo)*float64(n)-0.5)-1)
		last := min(n-1, int((max(a, b, c)-lo)/(hi-lo)*float64(n)-0.5)+1)
		for i := first; i <= last; i++ {
			if min(a, b, c) < level(i) && level(i) <= max(a, b, c) {
				in[i] = append(in[i], t)
			}
		}
	}
	x, y := geom.Across(d)
	out := make([]layer, n)
	for i := range out {
		p := geom.Line{Point: r3.Scale(level(i), d), Dir: d}
		out[i] = layer{level(i), cut(m, in[i], h, level(i), p, x, y)}
	}
	return out
}

// tips follows every piece that has nothing beyond it (in the order of the layers) back
// to where it grows into the body.
func tips(ls []layer, dir geom.Vec, s Strength, up geom.Vec) []Feature {
	var out []Feature
	for i := len(ls) - 1; i > 0; i-- {
		for k := range ls[i].pieces {
			if i+1 < len(ls) && slices.ContainsFunc(ls[i+1].pieces, func(o Section) bool { return meets(&o, &ls[i].pieces[k]) }) {
				continue
			}
			if f, ok := follow(ls, i, k, dir, s, up); ok {
				out = append(out, f)
			}
		}
	}
	return out
}

func follow(ls []layer, i, k int, dir geom.Vec, s Strength, up geom.Vec) (Feature, bool) {
	tip := &ls[i].pieces[k]
	half := math.Abs(ls[1].h-ls[0].h) / 2
	chain, at := []*Section{tip}, []float64{ls[i].h}
	largest := tip.Area
	for j := i - 1; j >= 0; j-- {
		var below []*Section
		for q := range ls[j].pieces {
			if meets(&ls[j].pieces[q], chain[len(chain)-1]) {
				below = append(below, &ls[j].pieces[q])
			}
		}
		if len(below) != 1 { // it ends, or stands astride
			return Feature{}, false
		}
		if below[0].Area > base*chain[len(chain)-1].Area {
			break
		}
		if j == 0 { // the part has no body: it is a bar
			return Feature{}, false
		}
		chain, at = append(chain, below[0]), append(at, ls[j].h)
		largest = max(largest, below[0].Area)
	}
	end := math.Abs(at[0]-at[len(at)-1]) + 2*half
	if end < least {
		return Feature{}, false
	}
	f := Feature{Dir: dir, Tip: tip.Centre, Length: end, Root: chain[len(chain)-1].Area}
	f.Force = forces.Exact(math.Inf(1))
	for c, section := range chain {
		lever := math.Abs(at[0]-at[c]) + half
		if c == len(chain)-1 {
			lever = end
		}
		if force, mode := breaks(section, lever, s.At(dir, up)); force.Lo < f.Force.Lo {
			f.Weak, f.Lever, f.Force, f.Mode = *section, lever, force, mode
		}
	}
	return f, true
}

// breaks is the least force across a section, at the lever from it, that breaks it.
func breaks(s *Section, lever float64, bear forces.Interval) (forces.Interval, Mode) {
	worst := 0.0
	for i := range 12 {
		sn, cs := math.Sincos(math.Pi / 12 * float64(i))
		worst = max(worst, s.BendingPer(r3.Add(r3.Scale(cs, s.X), r3.Scale(sn, s.Y))))
	}
	bend := bear.Scale(1 / (worst * lever))
	shear := bear.Scale(shearShare * s.Area / 1.5)
	if shear.Lo < bend.Lo {
		return shear, Shears
	}
	return bend, Bends
}

// meets tells whether two pieces of neighbouring parallel sections lie over each other.
func meets(a, b *Section) bool {
	d := r3.Sub(b.Centre, a.Centre)
	dx, dy := r3.Dot(d, a.X), r3.Dot(d, a.Y)
	if b.lo.x+dx > a.hi.x || b.hi.x+dx < a.lo.x || b.lo.y+dy > a.hi.y || b.hi.y+dy < a.lo.y {
		return false
	}
	over := func(p, q *Section, dx, dy float64) bool {
		for _, l := range q.loops {
			for _, v := range l {
				if p.holds(point{v.x + dx, v.y + dy}) {
					return true
				}
			}
		}
		return p.holds(point{dx, dy}) && q.holds(point{})
	}
	// of equal outlines every corner may lie on the other's edge: the centre tells
	return over(a, b, dx, dy) || over(b, a, -dx, -dy)
}
