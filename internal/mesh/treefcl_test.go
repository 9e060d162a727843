package mesh

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"testing"

	"feint/internal/geom"
)

// fclReference is testdata/reference/fcl/distances.json.
type fclReference struct {
	Meshes map[string]struct {
		V [][3]float64
		T [][3]int32
	}
	Distances []struct {
		A, B string
		Pose [12]float64
		D    float64
	}
}

// Independent program: distances by libfcl 0.7 of meshes that are not ours, see
// testdata/reference/fcl/SOURCE.md.
func TestDistanceAgainstLibfcl(t *testing.T) {
	const libfclError = 1e-9 // SOURCE.md: both differ by 5e-14 mm at most
	data, err := os.ReadFile("../../testdata/reference/fcl/distances.json")
	if err != nil {
		t.Fatal(err)
	}
	var ref fclReference
	if err := json.Unmarshal(data, &ref); err != nil {
		t.Fatal(err)
	}
	trees := map[string]*Tree{}
	for name, m := range ref.Meshes {
		o := &Mesh{T: m.T}
		for _, v := range m.V {
			o.V = append(o.V, geom.Vec{X: v[0], Y: v[1], Z: v[2]})
		}
		trees[name] = NewTree(o)
	}
	for _, name := range []string{"frame", "slider", "gate", "rod"} {
		trees[name] = NewTree(partSTL(t, name))
	}
	worst := 0.0
	for i, c := range ref.Distances {
		p := c.Pose
		g := geom.Motion{
			R: [3]geom.Vec{{X: p[0], Y: p[1], Z: p[2]}, {X: p[4], Y: p[5], Z: p[6]}, {X: p[8], Y: p[9], Z: p[10]}},
			T: geom.Vec{X: p[3], Y: p[7], Z: p[11]},
		}
		d, _, _ := trees[c.A].Distance(trees[c.B], g, math.Inf(1))
		worst = max(worst, math.Abs(d-c.D))
		if math.Abs(d-c.D) > libfclError {
			t.Errorf("%d, %s to %s: %.9g, libfcl %.9g", i, c.A, c.B, d, c.D)
		}
	}
	t.Logf("%d distances, the worst differs by %.2g mm", len(ref.Distances), worst)
}

// partSTL reads a binary STL of testdata/parts/latch-rod (the reader of
// meshfile is a layer above).
func partSTL(t *testing.T, name string) *Mesh {
	data, err := os.ReadFile("../../testdata/parts/latch-rod/" + name + ".stl")
	if err != nil {
		t.Fatal(err)
	}
	m := &Mesh{}
	at := map[geom.Vec]int32{}
	for o := 84; o+50 <= len(data); o += 50 {
		var ids [3]int32
		for k := range ids {
			f := func(j int) float64 {
				return float64(math.Float32frombits(binary.LittleEndian.Uint32(data[o+12+12*k+4*j:])))
			}
			v := geom.Vec{X: f(0), Y: f(1), Z: f(2)}
			id, ok := at[v]
			if !ok {
				id = int32(len(m.V))
				at[v], m.V = id, append(m.V, v)
			}
			ids[k] = id
		}
		m.T = append(m.T, ids)
	}
	return m
}
