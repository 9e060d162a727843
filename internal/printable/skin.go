package printable

import (
	"errors"
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Flared is a part with the flare of its first layers as a skin: below high over the
// plate, in the way up given, every face but the level ones stands out by flare, mm a
// side. It is an upper bound of what the layers spread by: they do so by less from the
// plate upwards. p.Mesh must be sound; a flare or a height of 0 gives it back.
func Flared(p Piece, flare, high float64, workers int) (*mesh.Mesh, error) {
	if flare <= 0 || high <= 0 {
		return p.Mesh, nil
	}
	down := downOf(p.Up)
	up := r3.Scale(-1, down)
	low := math.Inf(1)
	for _, v := range p.Mesh.V {
		low = min(low, r3.Dot(v, up))
	}
	o := mesh.Options{Workers: workers}
	foot, err := mesh.Arrange([]*mesh.Mesh{p.Mesh, slab(p.Mesh.Bounds(), up, low+high)}, func(in []bool) bool { return in[0] && in[1] }, o)
	if err != nil {
		return nil, err
	}
	if len(foot.T) == 0 {
		return nil, errors.New("nothing of the part lies on the plate")
	}
	sides := make([]bool, len(foot.T))
	for i := range foot.T {
		t := foot.Triangle(i)
		n := t.Normal()
		sides[i] = math.Abs(r3.Dot(n, up)) < math.Cos(leeway)
	}
	skin, err := mesh.Resolve(mesh.Widened(foot, sides, -flare), o)
	if err != nil {
		return nil, err
	}
	return mesh.Arrange([]*mesh.Mesh{p.Mesh, skin}, func(in []bool) bool { return in[0] || in[1] }, o)
}

// slab is a block that holds all of b below the height to along up.
func slab(b geom.Box, up geom.Vec, to float64) *mesh.Mesh {
	mid := r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
	r := 2 + r3.Norm(r3.Sub(b.Hi, b.Lo))
	x := r3.Unit(r3.Cross(up, geom.LeastAxis(up)))
	y := r3.Cross(up, x)
	top := r3.Dot(mid, up)
	m := &mesh.Mesh{}
	for _, h := range [2]float64{to - top - 2*r, to - top} {
		for _, c := range [4][2]float64{{-r, -r}, {r, -r}, {r, r}, {-r, r}} {
			v := r3.Add(mid, r3.Add(r3.Scale(c[0], x), r3.Add(r3.Scale(c[1], y), r3.Scale(h, up))))
			m.V = append(m.V, v)
		}
	}
	m.T = [][3]int32{{0, 2, 1}, {0, 3, 2}, {4, 5, 6}, {4, 6, 7}}
	for i := range int32(4) {
		j := (i + 1) % 4
		m.T = append(m.T, [3]int32{i, j, 4 + j}, [3]int32{i, 4 + j, 4 + i})
	}
	return m
}
