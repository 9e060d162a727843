package printable

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// layer is what one layer holds: areas by kind, mm2, and what makes it slow.
type layer struct {
	z, height          float64 // middle, mm
	area, wall, inside float64
	skin               float64
	islands, corners   int
	loops              int
	span               float64 // size of the section, mm
}

// layersOf is the number of layers of a part as high as h: 1 + ceil((h - h1)/h2).
// A part that ends within a hundredth of a layer above one does not get another.
func layersOf(h float64, s *Settings) int {
	if h <= 0 {
		return 0
	}
	return 1 + max(0, int(math.Ceil((h-s.FirstLayer)/s.Layer-0.01)))
}

// slice cuts a mesh that stands on z = 0 into layers, at the middle of each. Of so
// many layers as stride says, the first and the last apart, one is cut for all.
func slice(m *mesh.Mesh, stride int, s *Settings) []layer {
	b := m.Bounds()
	n := layersOf(b.Hi.Z, s)
	span := (b.Hi.X - b.Lo.X + b.Hi.Y - b.Lo.Y) / 2
	cuts := newSections(m)
	out := make([]layer, 0, n)
	at := 0.0
	for i := range n {
		l := layer{height: s.Layer, span: span}
		if i == 0 {
			l.height = s.FirstLayer
		}
		if i == n-1 && b.Hi.Z > at { // the last one is cut at the middle of what is there
			l.z = (at + min(at+l.height, b.Hi.Z)) / 2
		} else {
			l.z = at + l.height/2
		}
		at += l.height
		if k := i % stride; i > 1 && i < n-1 && k != 0 {
			was := &out[i-1]
			l.area, l.inside, l.wall, l.corners, l.loops, l.islands = was.area, was.inside, was.wall, was.corners, was.loops, was.islands
			out = append(out, l)
			continue
		}
		for _, k := range cuts.at(l.z) {
			core := k.core(float64(s.Walls) * s.Line)
			l.area += k.area
			l.inside += core
			l.wall += k.area - core
			l.corners += k.corners
			l.loops += k.loops
			l.islands++
		}
		out = append(out, l)
	}
	skins(m, out, s)
	return out
}

// skins puts the solid layers below tops and above bottoms into the layers. A
// face of slope dz/dx needs them only as deep as its walls do not reach: a wall
// t wide lies t dz/dx deep below it.
func skins(m *mesh.Mesh, ls []layer, s *Settings) {
	deep := float64(s.Skins) * s.Layer
	walls := float64(s.Walls) * s.Line
	for i := range m.T {
		t := m.Triangle(i)
		c := r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))
		flatArea := math.Abs(c.Z) / 2
		if flatArea == 0 {
			continue
		}
		slope := math.Hypot(c.X, c.Y) / math.Abs(c.Z)
		need := deep - walls*slope
		if need <= 0 {
			continue
		}
		z := (t[0].Z + t[1].Z + t[2].Z) / 3
		spread(ls, z, need, flatArea, c.Z > 0, s)
	}
	for i := range ls {
		ls[i].skin = min(ls[i].skin, ls[i].inside)
	}
}

// spread lays a skin of depth need under (top) or over a face at height z.
func spread(ls []layer, z, need, area float64, top bool, s *Settings) {
	step := -1
	k := index(ls, z, s)
	if !top {
		step = 1
	} else if k > 0 && z <= ls[k].z-ls[k].height/2+1e-9 {
		k--
	}
	for ; need > 1e-12 && k >= 0 && k < len(ls); k += step {
		l := &ls[k]
		share := min(1, need/l.height)
		if l.area > 0 {
			l.skin += share * area * l.inside / l.area
		}
		need -= l.height
	}
}

// index of the layer that holds height z.
func index(ls []layer, z float64, s *Settings) int {
	if z < s.FirstLayer {
		return 0
	}
	return min(len(ls)-1, 1+int((z-s.FirstLayer)/s.Layer+1e-9))
}

// Cost estimates a part that lies as it prints, supports of the given volume
// (the room they fill, mm3) and height below it. density g/cm3; 0 takes the
// settings'.
func Cost(m *mesh.Mesh, support, supportHigh, density float64, s *Settings) Estimate {
	return CostOf([]*mesh.Mesh{m}, support, supportHigh, density, s)
}

// CostOf estimates several parts printed together, layer by layer.
func CostOf(ms []*mesh.Mesh, support, supportHigh, density float64, s *Settings) Estimate {
	return costOf(ms, support, supportHigh, density, 1, s)
}

func costOf(ms []*mesh.Mesh, support, supportHigh, density float64, stride int, s *Settings) Estimate {
	var e Estimate
	var all [][]layer
	for _, m := range ms {
		ls := slice(onPlate(m), stride, s)
		e.add(ls, m.Volume(), s)
		e.Layers = max(e.Layers, len(ls))
		all = append(all, ls)
	}
	e.Support = support * s.SupportDensity
	minutes := e.time(all, 0, 0, s)
	full := e.time(all, e.Support, supportHigh, s)
	plastic := e.Wall + e.Skin + e.Infill
	g := s.density(density) / 1000 // g/mm3
	e.SupportGrams, e.SupportMinutes = e.Support*g, s.Pace.Minutes(full)-s.Pace.Minutes(minutes)
	e.Grams = (plastic + e.Support) * g
	e.Metres = Metres(plastic+e.Support, s.Filament)
	e.Minutes = s.Pace.Minutes(full)
	return e
}

// Metres is the length of filament of diameter d mm that holds volume mm3.
func Metres(volume, d float64) float64 { return volume / (math.Pi / 4 * d * d) / 1000 }

func onPlate(m *mesh.Mesh) *mesh.Mesh {
	b := m.Bounds()
	if b.Lo.Z == 0 {
		return m
	}
	return m.Moved(geom.Translation(geom.Vec{Z: -b.Lo.Z}))
}

// add puts the plastic of one part in; the sum of its layers is brought to its
// true volume, which the middles of the layers only come near.
func (e *Estimate) add(ls []layer, volume float64, s *Settings) {
	var wall, skin, fill, sum float64
	for i := range ls {
		l := &ls[i]
		sum += l.area * l.height
		wall += l.wall * l.height
		skin += l.skin * l.height
		fill += (l.inside - l.skin) * l.height * s.Infill
	}
	if sum == 0 {
		return
	}
	f := volume / sum
	e.Wall += f * wall
	e.Skin += f * skin
	e.Infill += f * fill
}

// speed that is possible for lines of a layer, mm/s.
func (s *Settings) speed(set, height float64) float64 {
	return min(set, s.Flow/(s.Line*height))
}

// time is the minutes of all layers, with supports of so much plastic spread over
// the layers up to their height.
func (e *Estimate) time(all [][]layer, support, high float64, s *Settings) float64 {
	levels := 0
	if support > 0 {
		levels = max(1, layersOf(high, s))
	}
	seconds := 0.0
	for k := range e.Layers {
		var sec float64
		spots := 0
		for _, ls := range all {
			if k < len(ls) {
				sec += ls[k].seconds(k == 0, s)
				spots += max(1, ls[k].islands)
			}
		}
		if k < levels {
			h := s.Layer
			v := s.speed(s.FillSpeed, h)
			if k == 0 {
				h, v = s.FirstLayer, s.speed(s.FirstSpeed, s.FirstLayer)
			}
			sec += support/float64(levels)/(s.Line*h)/v + 2*s.Retract
		}
		seconds += max(sec, s.LeastLayer) + s.LayerChange
	}
	return seconds / 60
}

// seconds of one part's layer: lines by kind, slowing down at corners, ways
// between loops and islands.
func (l *layer) seconds(first bool, s *Settings) float64 {
	wall, fill := s.speed(s.WallSpeed, l.height), s.speed(s.FillSpeed, l.height)
	if first {
		wall = s.speed(min(s.FirstSpeed, s.WallSpeed), l.height)
		fill = wall
	}
	sec := l.wall / s.Line / wall
	sec += l.skin/s.Line/fill + (l.inside-l.skin)*s.Infill/s.Line/fill
	// a corner stops the nozzle about once: v/a to brake and to get going again.
	sec += float64(l.corners*s.Walls) * wall / s.Acceleration
	// lines of skin and infill end at the walls: one stop each, sqrt(area) long.
	if side := math.Sqrt(l.inside); side > 0 {
		sec += (l.skin + (l.inside-l.skin)*s.Infill) / s.Line / side * fill / s.Acceleration
	}
	sec += float64(l.loops*s.Walls) * (s.Line*4/s.TravelSpeed + 0.02)
	sec += float64(l.islands) * (s.Retract*2 + l.span/2/s.TravelSpeed)
	return sec
}
