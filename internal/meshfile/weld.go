package meshfile

import (
	"feint/internal/mesh"
)

// welder collects triangles and gives equal corners one vertex. Corners are
// equal when their coordinates are, bit for bit, zero and minus zero being the
// same: a tolerance could close a gap that is meant.
type welder struct {
	m  *mesh.Mesh
	at map[vec]int32
}

// newWelder prepares for n triangles; a closed mesh has about n/2 vertices.
func newWelder(n int) *welder {
	return &welder{
		m:  &mesh.Mesh{V: make([]vec, 0, n/2+2), T: make([][3]int32, 0, n)},
		at: make(map[vec]int32, n/2+2),
	}
}

func (w *welder) add(corners [3]vec) {
	var t [3]int32
	for k, c := range corners {
		c = vec{X: c.X + 0, Y: c.Y + 0, Z: c.Z + 0} // -0 + 0 is +0
		i, ok := w.at[c]
		if !ok {
			i = int32(len(w.m.V))
			w.at[c] = i
			w.m.V = append(w.m.V, c)
		}
		t[k] = i
	}
	w.m.T = append(w.m.T, t)
}
