package mesh

import (
	"errors"
	"math"
	"testing"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// sceneOf reads a scene from bytes: eight a solid, at most six solids.
func sceneOf(data []byte) *scene {
	s := &scene{}
	if len(data) > 0 {
		s.cut, data = int(data[0]), data[1:]
	}
	for len(data) >= 8 && len(s.solids) < 6 {
		b := data[:8]
		data = data[8:]
		f := func(i int) float64 { return float64(int8(b[i])) / 16 }
		size := geom.Vec{X: 0.5 + math.Abs(f(1)), Y: 0.5 + math.Abs(f(2)), Z: 0.5 + math.Abs(f(3))}
		var m *Mesh
		if b[0]&1 == 0 {
			m = block(0, 0, 0, size.X, size.Y, size.Z)
		} else {
			m = prism(polygon(size.X, 3+int(b[2]%14)), 0, size.Z)
		}
		angle := float64(b[0]>>4) * math.Pi / 12
		axis := r3.Unit(geom.Vec{X: float64(b[0] >> 1 & 1), Y: float64(b[0] >> 2 & 1), Z: 1})
		if b[0]>>3&1 == 1 {
			angle = math.Ldexp(angle, -20) // almost parallel to others
		}
		g := geom.Rotation(geom.Line{Dir: axis}, angle)
		g.T = geom.Vec{X: f(4), Y: f(5), Z: f(6) + float64(int8(b[7]))/Units}
		s.solids = append(s.solids, m.Moved(g))
	}
	return s
}

// FuzzArrange: whatever the scene, the result is sound or an error names what
// could not be resolved; it is never wrong in silence.
func FuzzArrange(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte("\x02\x00\x20\x20\x20\x00\x00\x00\x00\x00\x20\x20\x20\x10\x10\x10\x00"))
	f.Add([]byte("\x00\x41\x20\x20\x20\x00\x00\x00\x00\x16\x20\x28\x20\x10\x10\x10\x01"))
	f.Add([]byte("\x05\x18\x20\x20\x20\x00\x00\x00\x00\x1c\x20\x20\x20\x00\x00\x00\x01\x09\x20\x20\x20\x10\x00\x00\x02"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s := sceneOf(data)
		if s.inside(make([]bool, len(s.solids))) {
			t.Skip()
		}
		m, err := Arrange(s.solids, s.inside, Options{Workers: 1})
		var u *Unresolved
		if errors.As(err, &u) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		sound(t, "fuzz", m)
		if len(s.solids) < 2 {
			return
		}
		a, b := s.solids[0], s.solids[1]
		sum := 0.0
		for _, inside := range []func([]bool) bool{any1, all1} {
			p, err := Arrange([]*Mesh{a, b}, inside, Options{Workers: 1})
			if err != nil {
				return
			}
			sum += p.Volume()
		}
		near(t, "inclusion", sum, a.Volume()+b.Volume(), 1e-6+(a.Area()+b.Area())/Units/(a.Volume()+b.Volume()))
	})
}
