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

// shared gives a mesh whose triangles do not share vertices the sharing that
// the places of its vertices tell, and whether it did so. A mesh that is closed
// as it stands is left alone: its author may have doubled vertices on purpose,
// where solids touch.
func shared(m *mesh.Mesh) (*mesh.Mesh, bool) {
	w := &welder{m: &mesh.Mesh{}, at: make(map[vec]int32, len(m.V))}
	for _, v := range m.V {
		w.at[v] = 0
	}
	if len(w.at) == len(m.V) || unpairedEdges(m) == 0 {
		return m, false
	}
	clear(w.at)
	for i := range m.T {
		w.add(m.Triangle(i))
	}
	return w.m, true
}

// unpairedEdges counts the directed edges that have no partner the other way.
func unpairedEdges(m *mesh.Mesh) int {
	n := map[[2]int32]int{}
	for _, t := range m.T {
		for k := range t {
			n[[2]int32{t[k], t[(k+1)%3]}]++
		}
	}
	open := 0
	for e, c := range n {
		open += max(0, c-n[[2]int32{e[1], e[0]}])
	}
	return open
}
