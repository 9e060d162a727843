package mating

import (
	"math"
	"slices"
	"sort"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// patch is what of one smooth face is in contact.
type patch struct {
	face   int32
	list   []touch
	middle geom.Vec // weighted by area
	normal geom.Vec // mean, unit
	flat   bool
	area   float64
	gap    float64 // least, seen from both parts
	way    int     // travel of most of it
}

const (
	// leastPatch is the least area of a face in contact that guides, mm2: a pin of
	// 3 mm in a groove 2 mm deep has some 3 mm2 on either wall.
	leastPatch = 1.0
	// flatness is the least length of the mean of the unit normals of a flat face.
	flatness = 0.98
	// roundness is how far samples of a round face may lie off their circle, mm.
	roundness = 0.06
	// wrap is the least angle that a round hollow goes round its part, radians:
	// more than half a turn holds it.
	wrap = 185 * math.Pi / 180
	// sameGap is by how much the gaps of two walls may differ, mm: the parts need
	// not stand in the middle as drawn.
	sameGap = 0.25
)

// fitKey tells the places of a fit apart: the outer part and its faces.
type fitKey struct {
	side   int
	f1, f2 int32
	travel int // both walls of every run of one groove can be one face
}

func (k fitKey) before(o fitKey) bool {
	if k.side != o.side {
		return k.side < o.side
	}
	if k.f1 != o.f1 {
		return k.f1 < o.f1
	}
	if k.f2 != o.f2 {
		return k.f2 < o.f2
	}
	return k.travel < o.travel
}

// findFits finds hollows of either part around the other in configuration q.
func (p *pair) findFits(q []float64, vel []velocity, here [2][]touch) {
	for side := range 2 {
		var ps []patch
		for _, k := range p.patches(side, here) {
			if f, ok := p.round(side, &k, vel); ok {
				p.keep(fitKey{side, k.face, -1, f.Travel}, f, side, q, &k)
				continue
			}
			ps = append(ps, p.walls(k, here[1-side], side)...)
		}
		for i := range ps {
			for j := i + 1; j < len(ps); j++ {
				if f, ok := p.slot(side, &ps[i], &ps[j], vel); ok {
					p.keep(fitKey{side, ps[i].face, ps[j].face, f.Travel}, f, side, q, &ps[i], &ps[j])
				}
			}
		}
	}
}

// patches groups contacts of one part by smooth face, in order of face.
func (p *pair) patches(side int, here [2][]touch) []patch {
	own := p.skins[side]
	by := map[int32][]touch{}
	for _, c := range here[side] {
		f := own.face[c.Triangle]
		by[f] = append(by[f], c)
	}
	seen := map[int32]float64{} // least gap as the other part's samples see it
	for _, c := range here[1-side] {
		f := own.face[c.on]
		if g, ok := seen[f]; !ok || c.Gap < g {
			seen[f] = c.Gap
		}
	}
	keys := make([]int32, 0, len(by))
	for f := range by {
		keys = append(keys, f)
	}
	slices.Sort(keys)
	var out []patch
	for _, f := range keys {
		k := p.measured(f, by[f])
		if k.area < leastPatch {
			continue
		}
		if g, ok := seen[f]; ok {
			k.gap = min(k.gap, g)
		}
		out = append(out, k)
	}
	return out
}

// measured is the patch of some contacts on one face.
func (p *pair) measured(face int32, list []touch) patch {
	k := patch{face: face, list: list, gap: math.Inf(1)}
	ways := make([]float64, len(p.travels))
	for _, c := range k.list {
		k.area += c.Area
		k.middle = r3.Add(k.middle, r3.Scale(c.Area, c.At))
		k.normal = r3.Add(k.normal, r3.Scale(c.Area, c.Normal))
		k.gap = min(k.gap, c.Gap)
		ways[c.way] += c.Area
	}
	k.middle = r3.Scale(1/k.area, k.middle)
	if l := r3.Norm(k.normal); l > 0 {
		k.flat = l > flatness*k.area
		k.normal = r3.Scale(1/l, k.normal)
	}
	for i := range ways {
		if ways[i] > ways[k.way] {
			k.way = i
		}
	}
	return k
}

// oneWall is the least cosine between normals on one wall of a groove: both walls
// of a groove with a round end are one smooth face.
const oneWall = 0.85

// walls divides a patch that is neither flat nor round into flat ones by the
// direction in which they look. inner are the other part's contacts.
func (p *pair) walls(k patch, inner []touch, side int) []patch {
	if k.flat {
		return []patch{k}
	}
	var groups [][]touch
next:
	for _, c := range k.list {
		for i := range groups {
			if r3.Dot(groups[i][0].Normal, c.Normal) > oneWall {
				groups[i] = append(groups[i], c)
				continue next
			}
		}
		groups = append(groups, []touch{c})
	}
	own := p.skins[side]
	var out []patch
	for _, g := range groups {
		w := p.measured(k.face, g)
		if w.area < leastPatch || !w.flat {
			continue
		}
		for _, c := range inner {
			face := own.tree.Mesh().Triangle(c.on)
			if own.face[c.on] == k.face && r3.Dot(face.Normal(), w.normal) > oneWall {
				w.gap = min(w.gap, c.Gap)
			}
		}
		out = append(out, w)
	}
	return out
}

// axis of the motion of the inner part along the pair's travel way past x, in
// the frame of the outer part as drawn.
func (p *pair) axis(side int, v *velocity, x geom.Vec, q []float64) (l geom.Line, turns bool) {
	spin := geom.Vec{X: v.turn[2].Y, Y: v.turn[0].Z, Z: v.turn[1].X}
	shift := v.at(x)
	if side == 0 { // the outer part is a: bring b's frame into a's
		inv := p.relative(q).Inverse()
		spin, shift = inv.Turn(spin), inv.Turn(v.at(p.from(q, x)))
	}
	w := r3.Norm(spin)
	if w < 1e-6 {
		return geom.Line{Point: x, Dir: r3.Unit(shift)}, false
	}
	d := r3.Scale(1/w, spin)
	// the point of the axis nearest to x: x + (spin x v)/w^2
	return geom.Line{Point: r3.Add(x, r3.Scale(1/(w*w), r3.Cross(spin, shift))), Dir: d}, true
}

// from carries a point of a as drawn into b's frame.
func (p *pair) from(q []float64, x geom.Vec) geom.Vec {
	g := p.relative(q)
	return g.Apply(x)
}

// round tells whether a face goes round the inner part: a bore about the motion's
// own direction.
func (p *pair) round(side int, k *patch, vel []velocity) (Fit, bool) {
	if k.flat {
		return Fit{}, false
	}
	l, turns := p.axis(side, &vel[k.way], k.middle, p.now)
	u := r3.Unit(r3.Cross(l.Dir, geom.LeastAxis(l.Dir)))
	v := r3.Cross(l.Dir, u)
	c, r, off := circle(k.list, u, v)
	if off > roundness || r <= 0 {
		return Fit{}, false
	}
	middle := r3.Add(r3.Scale(c[0], u), r3.Add(r3.Scale(c[1], v), r3.Scale(r3.Dot(k.middle, l.Dir), l.Dir)))
	var angles []float64
	for _, t := range k.list {
		d := r3.Sub(t.At, middle)
		if r3.Dot(d, t.Normal) > 0 { // it looks outwards: the inner part
			return Fit{}, false
		}
		angles = append(angles, math.Atan2(r3.Dot(d, v), r3.Dot(d, u)))
	}
	if covered(angles) < wrap {
		return Fit{}, false
	}
	return Fit{
		Gap: k.gap, Travel: p.travels[k.way], Axis: geom.Line{Point: middle, Dir: l.Dir}, Turns: turns,
		Round: true, Wide: 2 * r, Middle: middle, Area: k.area,
	}, true
}

// circle fits a circle to contacts seen along u x v and tells the farthest off
// it (I. Kasa, A circle fitting procedure and its error analysis, IEEE Trans.
// Instrumentation and Measurement 25 (1976)).
func circle(list []touch, u, v geom.Vec) (c [2]float64, r, off float64) {
	var n, sx, sy, sxx, syy, sxy, sxz, syz, sz float64
	o := list[0].At
	for i := range list {
		d := r3.Sub(list[i].At, o)
		x, y := r3.Dot(d, u), r3.Dot(d, v)
		z := x*x + y*y
		n, sx, sy, sz = n+1, sx+x, sy+y, sz+z
		sxx, syy, sxy, sxz, syz = sxx+x*x, syy+y*y, sxy+x*y, sxz+x*z, syz+y*z
	}
	a, b, d := sxx-sx*sx/n, sxy-sx*sy/n, syy-sy*sy/n
	e, f := (sxz-sx*sz/n)/2, (syz-sy*sz/n)/2
	det := a*d - b*b
	if !(det > 1e-9*(a+d)*(a+d)) {
		return c, 0, math.Inf(1)
	}
	x, y := (e*d-f*b)/det, (a*f-b*e)/det
	r = math.Sqrt(max(0, (sz-2*x*sx-2*y*sy)/n+x*x+y*y))
	for i := range list {
		d := r3.Sub(list[i].At, o)
		off = max(off, math.Abs(math.Hypot(r3.Dot(d, u)-x, r3.Dot(d, v)-y)-r))
	}
	return [2]float64{x + r3.Dot(o, u), y + r3.Dot(o, v)}, r, off
}

// covered is the angle that a set of directions goes round: the full turn less
// the widest gap.
func covered(angles []float64) float64 {
	slices.Sort(angles)
	gap := 2*math.Pi - angles[len(angles)-1] + angles[0]
	for i := 1; i < len(angles); i++ {
		gap = max(gap, angles[i]-angles[i-1])
	}
	return 2*math.Pi - gap
}

// slot tells whether two faces look at each other with the inner part between.
func (p *pair) slot(side int, i, j *patch, vel []velocity) (Fit, bool) {
	if !i.flat || !j.flat || r3.Dot(i.normal, j.normal) > -0.95 {
		return Fit{}, false
	}
	n := r3.Unit(r3.Sub(i.normal, j.normal))
	d := r3.Sub(j.middle, i.middle)
	wide := r3.Dot(d, n)
	lateral := r3.Norm(r3.Sub(d, r3.Scale(wide, n)))
	if wide <= i.gap+j.gap || lateral > max(3, math.Sqrt(max(i.area, j.area))) || math.Abs(i.gap-j.gap) > sameGap {
		return Fit{}, false
	}
	k := i
	if j.area > i.area {
		k = j
	}
	middle := r3.Scale(0.5, r3.Add(i.middle, j.middle))
	l, turns := p.axis(side, &vel[k.way], middle, p.now)
	return Fit{
		Gap: (i.gap + j.gap) / 2, Travel: p.travels[k.way], Axis: l, Turns: turns,
		Wide: wide, Middle: middle, Across: n, Area: i.area + j.area,
	}, true
}

// keep stores a fit if it is the fullest of its place so far.
func (p *pair) keep(key fitKey, f Fit, side int, q []float64, ps ...*patch) {
	if old := p.fits[key]; old != nil && old.Area >= f.Area {
		return
	}
	f.Outer, f.Inner = p.a, p.b
	f.Relative = p.relative(q).Inverse()
	if side == 1 {
		f.Outer, f.Inner = p.b, p.a
		f.Relative = p.relative(q)
	}
	f.Config = slices.Clone(q)
	f.Box = geom.EmptyBox()
	for _, k := range ps {
		for _, c := range k.list {
			f.Contacts = append(f.Contacts, c.Contact)
			f.Box = f.Box.Add(c.At)
		}
	}
	p.fits[key] = &f
}

// alike tells fits of one kind: they differ only in where they are.
func (f *Fit) alike(o *Fit) bool {
	return f.Outer == o.Outer && f.Inner == o.Inner && f.Round == o.Round && f.Turns == o.Turns &&
		math.Abs(f.Gap-o.Gap) < 0.03 && math.Abs(f.Wide-o.Wide) < 0.1
}

// add takes over what a pair has found.
func (r *Result) add(p *pair) {
	least := math.Inf(1)
	for side := range 2 {
		keys := make([]int, 0, len(p.contacts[side]))
		for i := range p.contacts[side] {
			keys = append(keys, i)
		}
		slices.Sort(keys)
		for _, i := range keys {
			c := p.contacts[side][i]
			r.Contacts = append(r.Contacts, c)
			least = min(least, c.Gap)
		}
	}
	if !math.IsInf(least, 1) {
		r.Tight = append(r.Tight, Tight{p.a, p.b, least})
	}
	keys := make([]fitKey, 0, len(p.fits))
	for k := range p.fits {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		a, b := p.fits[keys[i]], p.fits[keys[j]]
		if a.Area != b.Area {
			return a.Area > b.Area
		}
		return keys[i].before(keys[j])
	})
next:
	for _, k := range keys {
		f := p.fits[k]
		for i := range r.Fits {
			if r.Fits[i].alike(f) {
				r.Fits[i].Alike++
				continue next
			}
		}
		r.Fits = append(r.Fits, *f)
	}
}

func (r *Result) sort() {
	sort.SliceStable(r.Fits, func(i, j int) bool {
		a, b := &r.Fits[i], &r.Fits[j]
		switch {
		case math.Abs(a.Gap-b.Gap) > 1e-6:
			return a.Gap < b.Gap
		case a.Outer != b.Outer:
			return a.Outer < b.Outer
		case a.Inner != b.Inner:
			return a.Inner < b.Inner
		}
		return a.Area > b.Area
	})
	sort.SliceStable(r.Contacts, func(i, j int) bool {
		a, b := &r.Contacts[i], &r.Contacts[j]
		return a.Part < b.Part || (a.Part == b.Part && a.Other < b.Other)
	})
}
