package mesh

import (
	"reflect"
	"testing"

	"feint/internal/geom"

	"pgregory.net/rapid"
)

// voxels is a set of unit cubes; it is the outside check of this file: volume
// and area by counting.
type voxels [12][12][12]bool

func (v *voxels) at(x, y, z int) bool {
	return x >= 0 && y >= 0 && z >= 0 && x < 12 && y < 12 && z < 12 && v[x][y][z]
}

func (v *voxels) measure() (volume, area float64) {
	for x := range 12 {
		for y := range 12 {
			for z := range 12 {
				if !v[x][y][z] {
					continue
				}
				volume++
				for _, d := range [6][3]int{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
					if !v.at(x+d[0], y+d[1], z+d[2]) {
						area++
					}
				}
			}
		}
	}
	return volume, area
}

// drawBlocks draws blocks on whole mm and the truth of every combination of
// memberships (false outside all).
func drawBlocks(t *rapid.T) (solids []*Mesh, cells [][6]int, truth uint64) {
	for range rapid.IntRange(1, 5).Draw(t, "blocks") {
		var c [6]int
		for k := range 3 {
			c[k] = rapid.IntRange(0, 9).Draw(t, "from")
			c[k+3] = c[k] + rapid.IntRange(1, 11-c[k]).Draw(t, "size")
		}
		cells = append(cells, c)
		solids = append(solids, block(float64(c[0]), float64(c[1]), float64(c[2]), float64(c[3]), float64(c[4]), float64(c[5])))
	}
	return solids, cells, rapid.Uint64().Draw(t, "truth") &^ 1
}

// TestBlocksAgainstVoxels: for any expression, volume and area are those
// counted cube by cube, faces that coincide included.
func TestBlocksAgainstVoxels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		solids, cells, truth := drawBlocks(t)
		inside := func(in []bool) bool {
			n := 0
			for i, b := range in {
				if b {
					n |= 1 << i
				}
			}
			return truth>>n&1 == 1
		}
		var v voxels
		in := make([]bool, len(cells))
		for x := range 12 {
			for y := range 12 {
				for z := range 12 {
					for i, c := range cells {
						in[i] = x >= c[0] && x < c[3] && y >= c[1] && y < c[4] && z >= c[2] && z < c[5]
					}
					v[x][y][z] = inside(in)
				}
			}
		}
		m, err := Arrange(solids, inside, Options{})
		if err != nil {
			t.Fatal(err)
		}
		volume, area := v.measure()
		if got := m.Volume(); got < volume-1e-9 || got > volume+1e-9 {
			t.Fatalf("volume %g, counted %g", got, volume)
		}
		if got := m.Area(); got < area-1e-9 || got > area+1e-9 {
			t.Fatalf("area %g, counted %g", got, area)
		}
		for _, d := range Check(m) {
			t.Fatalf("%v", d)
		}
	})
}

// TestWorkersChangeNothing: the same bytes with any number of workers.
func TestWorkersChangeNothing(t *testing.T) {
	for seed := range uint64(12) {
		s := randomScene(seed, []string{"lattice", "turned", "close", "free"}[seed%4])
		var first *Mesh
		for _, w := range []int{1, 2, 5} {
			m, err := Arrange(s.solids, s.inside, Options{Workers: w})
			if err != nil {
				t.Fatal(err)
			}
			if first == nil {
				first = m
			}
			if !reflect.DeepEqual(m, first) {
				t.Fatalf("scene %d: %d workers give another mesh", seed, w)
			}
		}
	}
}

// TestMovingAllMovesTheResult: turning everything by quarters and shifting it
// by whole mm keeps the grid, so volume and area stay to the last digits.
func TestMovingAllMovesTheResult(t *testing.T) {
	for seed := range uint64(20) {
		s := randomScene(seed, "free")
		a := arranged(t, "as drawn", s.inside, s.solids...)
		g := geom.Motion{R: [3]geom.Vec{{Y: -1}, {X: 1}, {Z: 1}}, T: geom.Vec{X: 31, Y: -77, Z: 12}}
		moved := make([]*Mesh, len(s.solids))
		for i, m := range s.solids {
			moved[i] = m.rounded().Moved(g)
		}
		b := arranged(t, "moved", s.inside, moved...)
		near(t, "volume", b.Volume(), a.Volume(), 1e-6)
		near(t, "area", b.Area(), a.Area(), 1e-6)
	}
}
