package meshfile

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Numbers of the glTF 2.0 specification (Khronos Group; ISO/IEC 12113:2022).
const (
	glbMagic     = 0x46546C67 // "glTF"
	glbVersion   = 2
	chunkJSON    = 0x4E4F534A // "JSON"
	chunkBin     = 0x004E4942 // "BIN\0"
	typeFloat    = 5126
	typeUint     = 5125
	arrayBuffer  = 34962
	elementArray = 34963
)

// Data types of the JSON chunk; the names are those of the specification.
type (
	gltf struct {
		Asset       gltfAsset      `json:"asset"`
		Scene       int            `json:"scene"`
		Scenes      []gltfScene    `json:"scenes"`
		Nodes       []gltfNode     `json:"nodes"`
		Meshes      []gltfMesh     `json:"meshes"`
		Materials   []gltfMaterial `json:"materials"`
		Accessors   []gltfAccessor `json:"accessors"`
		BufferViews []gltfView     `json:"bufferViews"`
		Buffers     []gltfBuffer   `json:"buffers"`
	}
	gltfAsset struct {
		Version   string `json:"version"`
		Generator string `json:"generator,omitempty"`
		Copyright string `json:"copyright,omitempty"`
	}
	gltfScene struct {
		Name  string `json:"name,omitempty"`
		Nodes []int  `json:"nodes"`
	}
	gltfNode struct {
		Name        string      `json:"name"`
		Mesh        int         `json:"mesh"`
		Rotation    *[4]float64 `json:"rotation,omitempty"`
		Translation *[3]float64 `json:"translation,omitempty"`
	}
	gltfMesh struct {
		Name       string          `json:"name"`
		Primitives []gltfPrimitive `json:"primitives"`
	}
	gltfPrimitive struct {
		Attributes gltfAttributes `json:"attributes"`
		Indices    int            `json:"indices"`
		Material   int            `json:"material"`
	}
	gltfAttributes struct {
		Position int `json:"POSITION"`
		Normal   int `json:"NORMAL"`
	}
	gltfMaterial struct {
		Name string  `json:"name"`
		PBR  gltfPBR `json:"pbrMetallicRoughness"`
	}
	gltfPBR struct {
		BaseColor [4]float64 `json:"baseColorFactor"`
		Metallic  float64    `json:"metallicFactor"`
		Roughness float64    `json:"roughnessFactor"`
	}
	gltfAccessor struct {
		View  int         `json:"bufferView"`
		Type  int         `json:"componentType"`
		Count int         `json:"count"`
		Kind  string      `json:"type"`
		Min   *[3]float32 `json:"min,omitempty"`
		Max   *[3]float32 `json:"max,omitempty"`
	}
	gltfView struct {
		Buffer int `json:"buffer"`
		Offset int `json:"byteOffset"`
		Length int `json:"byteLength"`
		Target int `json:"target"`
	}
	gltfBuffer struct {
		Length int `json:"byteLength"`
	}
)

// noColor is the colour of an item without one, a mid grey.
const noColor = "#808080"

// WriteGLB writes the items as a binary glTF 2.0 scene: one node, mesh and
// material an item under its name, in metres, y up (x, y, z mm becomes x, z, -y
// over 1000), facets flat. Triangles that have no area in float32 are left out:
// they have no normal and cannot be seen.
func WriteGLB(w io.Writer, items []Item, meta Meta) error {
	if len(items) == 0 {
		return errors.New("GLB: nothing to write")
	}
	g := gltf{
		Asset:  gltfAsset{Version: "2.0", Generator: meta.Application, Copyright: meta.Copyright},
		Scenes: []gltfScene{{Name: meta.Title}},
	}
	var bin bytes.Buffer
	for i := range items {
		it := &items[i]
		if err := writable(it.Name, it.Mesh); err != nil {
			return err
		}
		mat, err := material(it)
		if err != nil {
			return err
		}
		g.Materials = append(g.Materials, mat)
		g.Scenes[0].Nodes = append(g.Scenes[0].Nodes, i)
		g.Nodes = append(g.Nodes, node(i, it))
		f := flatten(it)
		if len(f.index) == 0 {
			return fmt.Errorf("%s: no triangle has an area", it.Name)
		}
		g.addMesh(&bin, it.Name, f)
	}
	g.Buffers = []gltfBuffer{{bin.Len()}}
	head, err := json.Marshal(g)
	if err != nil {
		return err
	}
	return writeChunks(w, head, bin.Bytes())
}

func material(it *Item) (gltfMaterial, error) {
	color := it.Color
	if color == "" {
		color = noColor
	}
	c, err := rgb(color)
	if err != nil {
		return gltfMaterial{}, fmt.Errorf("%s: %w", it.Name, err)
	}
	const roughness = 0.6 // printed plastic: neither mirror nor chalk, by eye
	return gltfMaterial{Name: it.Name, PBR: gltfPBR{
		BaseColor: [4]float64{linear(c[0]), linear(c[1]), linear(c[2]), 1}, Roughness: roughness,
	}}, nil
}

// yUp turns the printer's z up into glTF's y up.
func yUp(v vec) vec { return vec{X: v.X, Y: v.Z, Z: -v.Y} }

const metre = 1000 // mm

func node(i int, it *Item) gltfNode {
	n := gltfNode{Name: it.Name, Mesh: i}
	if q := quaternion(it.At); q != [4]float64{0, 0, 0, 1} {
		v := yUp(vec{X: q[0], Y: q[1], Z: q[2]})
		n.Rotation = &[4]float64{v.X, v.Y, v.Z, q[3]}
	}
	if t := r3.Scale(1.0/metre, yUp(it.At.T)); t != (vec{}) {
		n.Translation = &[3]float64{t.X, t.Y, t.Z}
	}
	return n
}

// quaternion is the rotation of g as (x, y, z, w), w not negative. The largest
// of the four is found first, for accuracy (S. W. Shepperd, "Quaternion from
// rotation matrix", Journal of Guidance and Control 1 (1978)).
func quaternion(g geom.Motion) [4]float64 {
	a := [3][3]float64{{g.R[0].X, g.R[0].Y, g.R[0].Z}, {g.R[1].X, g.R[1].Y, g.R[1].Z}, {g.R[2].X, g.R[2].Y, g.R[2].Z}}
	trace := a[0][0] + a[1][1] + a[2][2]
	var q [4]float64
	big := 3
	for i := range 3 {
		if big == 3 && a[i][i] > trace || big < 3 && a[i][i] > a[big][big] {
			big = i
		}
	}
	if big == 3 {
		q = [4]float64{a[2][1] - a[1][2], a[0][2] - a[2][0], a[1][0] - a[0][1], 1 + trace}
	} else {
		i, j, k := big, (big+1)%3, (big+2)%3
		q[i] = 1 + a[i][i] - a[j][j] - a[k][k]
		q[j] = a[i][j] + a[j][i]
		q[k] = a[i][k] + a[k][i]
		q[3] = a[k][j] - a[j][k]
	}
	n := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3])
	if q[3] < 0 {
		n = -n
	}
	for i := range q {
		q[i] = q[i]/n + 0
	}
	return q
}

// flat is the data of one mesh: corners with normals, shared where both are equal.
type flat struct {
	pos, normal [][3]float32
	index       []uint32
}

func flatten(it *Item) flat {
	type corner struct{ p, n [3]float32 }
	var f flat
	at := make(map[corner]uint32, len(it.Mesh.T))
	for i := range it.Mesh.T {
		t := it.Mesh.Triangle(i)
		var p [3][3]float32
		for k := range t {
			p[k] = float3(r3.Scale(1.0/metre, yUp(t[k])))
			t[k] = vec{X: float64(p[k][0]), Y: float64(p[k][1]), Z: float64(p[k][2])}
		}
		n := t.Normal()
		if n == (vec{}) {
			continue
		}
		for k := range t {
			c := corner{p[k], float3(n)}
			j, ok := at[c]
			if !ok {
				j = uint32(len(f.pos))
				at[c] = j
				f.pos, f.normal = append(f.pos, c.p), append(f.normal, c.n)
			}
			f.index = append(f.index, j)
		}
	}
	return f
}

func float3(v vec) [3]float32 {
	return [3]float32{float32(v.X) + 0, float32(v.Y) + 0, float32(v.Z) + 0}
}

// addMesh appends a mesh to the buffer and describes it.
func (g *gltf) addMesh(bin *bytes.Buffer, name string, f flat) {
	lo, hi := f.pos[0], f.pos[0]
	for _, p := range f.pos {
		for k := range p {
			lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
		}
	}
	pos := g.view(bin, f.pos, arrayBuffer, gltfAccessor{Type: typeFloat, Count: len(f.pos), Kind: "VEC3", Min: &lo, Max: &hi})
	nor := g.view(bin, f.normal, arrayBuffer, gltfAccessor{Type: typeFloat, Count: len(f.normal), Kind: "VEC3"})
	idx := g.view(bin, f.index, elementArray, gltfAccessor{Type: typeUint, Count: len(f.index), Kind: "SCALAR"})
	g.Meshes = append(g.Meshes, gltfMesh{Name: name, Primitives: []gltfPrimitive{
		{Attributes: gltfAttributes{Position: pos, Normal: nor}, Indices: idx, Material: len(g.Meshes)},
	}})
}

// view appends data, whose items are multiples of four bytes, with its
// description and gives the index of its accessor.
func (g *gltf) view(bin *bytes.Buffer, data any, target int, a gltfAccessor) int {
	start := bin.Len()
	_ = binary.Write(bin, binary.LittleEndian, data) // a bytes.Buffer gives no error
	a.View = len(g.BufferViews)
	g.BufferViews = append(g.BufferViews, gltfView{Offset: start, Length: bin.Len() - start, Target: target})
	g.Accessors = append(g.Accessors, a)
	return len(g.Accessors) - 1
}

// writeChunks writes header, JSON chunk (padded with blanks) and binary chunk
// (padded with zeros); chunks are multiples of four bytes.
func writeChunks(w io.Writer, head, bin []byte) error {
	for len(head)%4 != 0 {
		head = append(head, ' ')
	}
	for len(bin)%4 != 0 {
		bin = append(bin, 0)
	}
	total := 12 + 8 + uint64(len(head)) + 8 + uint64(len(bin))
	if total > math.MaxUint32 {
		return fmt.Errorf("GLB: %d bytes are more than the format can count", total)
	}
	var out bytes.Buffer
	for _, v := range []uint32{glbMagic, glbVersion, uint32(total), uint32(len(head)), chunkJSON} {
		_ = binary.Write(&out, binary.LittleEndian, v)
	}
	out.Write(head)
	for _, v := range []uint32{uint32(len(bin)), chunkBin} {
		_ = binary.Write(&out, binary.LittleEndian, v)
	}
	out.Write(bin)
	_, err := w.Write(out.Bytes())
	return err
}
