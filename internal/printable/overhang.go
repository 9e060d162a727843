package printable

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// leeway is what a face may be steeper than the limit and still count as
	// drawn at it, radians: half a degree, more than rounding of a chamfer on the
	// mesh grid or a turn by trigonometry can make.
	leeway = 0.5 * math.Pi / 180
	// levelFrom is the steepness from which a face is a ceiling that lines can
	// bridge: 85 degrees; a line then sinks by less than a layer over 2 mm.
	levelFrom = 85 * math.Pi / 180
)

// OverhangArea is the area of faces of m, laid with the way up given, that are
// steeper than limit (radians from the vertical) and do not lie on the plate, mm2.
func OverhangArea(p Piece, limit float64) float64 {
	l := lay(p.Mesh, p.Up, nil)
	a := 0.0
	for i := range l.m.T {
		if steepness(l.normal[i]) > limit && l.highest(i) > touching {
			a += l.area[i]
		}
	}
	return a
}

// patches groups the faces that are steeper than the limit, ceilings apart from
// slopes.
func (l *laid) patches(s *Settings) []Patch {
	kind := make([]uint8, len(l.m.T)) // 1 slope, 2 ceiling
	for i := range l.m.T {
		a := steepness(l.normal[i])
		if l.area[i] == 0 || a <= s.Overhang+leeway || l.highest(i) <= touching {
			continue
		}
		if kind[i] = 1; a >= levelFrom {
			kind[i] = 2
		}
	}
	var out []Patch
	for i := range kind {
		if kind[i] != 0 {
			out = append(out, l.patch(i, kind))
		}
	}
	for i := range out {
		l.judge(&out[i], s)
	}
	return out
}

// patch takes triangle i and all of its kind that hang together with it.
func (l *laid) patch(i int, kind []uint8) Patch {
	p := Patch{Mildest: math.Inf(1), Box: geom.EmptyBox()}
	k := kind[i]
	kind[i] = 0
	todo := []int32{int32(i)}
	var at geom.Vec
	best := 0.0
	for len(todo) > 0 {
		j := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		p.Triangles = append(p.Triangles, int(j))
		p.Area += l.area[j]
		a := steepness(l.normal[j])
		p.Angle, p.Mildest = max(p.Angle, a), min(p.Mildest, a)
		t := l.m.Triangle(int(j))
		for _, v := range t {
			p.Box = p.Box.Add(v)
		}
		if l.area[j] > best {
			best, at = l.area[j], r3.Scale(1.0/3, r3.Add(t[0], r3.Add(t[1], t[2])))
		}
		for _, n := range l.beside[j] {
			if n >= 0 && kind[n] == k {
				kind[n] = 0
				todo = append(todo, n)
			}
		}
	}
	p.At = l.back.Apply(at)
	return p
}

// judge tells whether a patch prints without support: because it is a narrow
// ledge, or a bridge that is short enough.
func (l *laid) judge(p *Patch, s *Settings) {
	border := l.border(p)
	girth, plan := 0.0, 0.0
	for i := range border {
		girth += border[i].b.sub(border[i].a).length()
	}
	for _, t := range p.Triangles {
		plan += l.area[t] * -l.normal[t].Z
	}
	// a strip of width w and length L has area Lw and girth 2 (L + w): 2 A/P is
	// its width as long as it is a strip.
	if girth > 0 && 2*plan/girth < s.Line {
		return
	}
	if p.Mildest >= levelFrom {
		if b, ok := bridge(border); ok {
			p.Bridge = &b
			if b.Span <= s.BridgeSpan {
				return
			}
		}
	}
	p.Supported = true
}
