package printable

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"
)

// leastLevel is the area from which level faces of one height are told, mm2: less
// is a letter or an edge.
const leastLevel = 2

// levels lists heights of level faces that are no whole number of layers above
// the plate. The printer ends a body at the layer nearest to it, so that the face
// comes out by Off too high (positive) or too low.
func (l *laid) levels(slides []Slide, s *Settings) []Level {
	type key struct {
		z    int64 // microns
		down bool
	}
	at := map[key]*Level{}
	var keys []key
	of := make(map[int]*Level)
	for i := range l.m.T {
		n := l.normal[i]
		if math.Abs(n.Z) < math.Cos(leeway) || l.highest(i) <= touching {
			continue
		}
		z := (l.lowest(i) + l.highest(i)) / 2
		off := layerOff(z, s)
		if math.Abs(off) < touching {
			continue
		}
		k := key{int64(math.Round(z * 1000)), n.Z < 0}
		v := at[k]
		if v == nil {
			t := l.m.Triangle(i)
			v = &Level{Z: z, Off: off, Down: k.down, Other: -1}
			v.At = l.back.Apply(r3.Scale(1.0/3, r3.Add(t[0], r3.Add(t[1], t[2]))))
			at[k] = v
			keys = append(keys, k)
		}
		v.Area += l.area[i]
		of[i] = v
	}
	for i := range slides {
		c := &slides[i]
		if v := of[c.Triangle]; v != nil && !c.Free && (v.Other < 0 || c.Gap < v.Gap) {
			v.Gap, v.Other = c.Gap, c.Other
		}
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i].z != keys[j].z {
			return keys[i].z < keys[j].z
		}
		return keys[j].down && !keys[i].down
	})
	var out []Level
	for _, k := range keys {
		if at[k].Area >= leastLevel {
			out = append(out, *at[k])
		}
	}
	return out
}

// layerOff is by how much the layer boundary nearest to height z lies above it.
func layerOff(z float64, s *Settings) float64 {
	if z <= s.FirstLayer/2 {
		return 0
	}
	k := max(0, math.Round((z-s.FirstLayer)/s.Layer))
	return s.FirstLayer + k*s.Layer - z
}

// Sideways is a sliding face that stands upright on the plate near it.
type Sideways struct {
	Slide
	Z float64 // of the sample above the plate, mm
}

// NearPlate lists the sliding faces of p, lying as Up says, that are upright or
// nearly so and begin within high of the plate: where the flare of the first
// layers narrows the gap.
func NearPlate(p Piece, high float64) []Sideways {
	l := lay(p.Mesh, p.Up, [][3]int32{})
	fwd := l.back.Inverse()
	var out []Sideways
	for _, c := range p.Slides {
		n := fwd.Turn(c.Normal)
		if c.Free || math.Abs(n.Z) > 0.7 || l.lowest(c.Triangle) > high {
			continue
		}
		out = append(out, Sideways{c, fwd.Apply(c.At).Z})
	}
	return out
}
