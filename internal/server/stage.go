package server

import (
	"bytes"
	"encoding/binary"
	"math"
	"net/http"
	"slices"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/pipeline"
	"feint/internal/units"
	"feint/internal/verdict/wording"
)

// newStage puts a built design together for the page, with its meshes by name.
func newStage(id, name string, l *pipeline.Live) (*Stage, map[string][]byte) {
	m := l.Mechanism
	s := &Stage{
		ID: id, Design: name, Title: m.Title, Note: m.Note, Revision: m.Revision, SHA256: m.SHA256,
		Params: params(m.Params), Parts: []Part{}, Travels: []Travel{}, Start: outside(l, m.Start), Goal: m.Goal.Name, GoalAt: []Bound{},
	}
	s.Directed, s.Ups, s.Tools = l.Directed(), attitudes(m), tools(m)
	if s.Title == "" {
		s.Title = m.Name
	}
	meshes := map[string][]byte{}
	drawn := make([]*mesh.Mesh, len(m.Parts))
	box := geom.EmptyBox()
	for i := range m.Parts {
		p, b := &m.Parts[i], &l.Bodies[i]
		g := l.Grams(i)
		s.Grams += g
		s.Parts = append(s.Parts, Part{
			Name: p.Name, Frame: p.Frame, Carrier: p.Carrier, Travels: append([]int{}, p.Travels...),
			Color: p.Color, Mesh: b.Hash, Sound: b.Sound(), Grams: g, Hidden: p.Hidden,
		})
		meshes[b.Hash], drawn[i] = packed(b.Mesh), b.Mesh
		pose := m.Pose(i, m.Start)
		for _, v := range b.Mesh.V {
			if v = pose.Apply(v); !math.IsNaN(v.X+v.Y+v.Z) && !math.IsInf(v.X+v.Y+v.Z, 0) {
				box = box.Add(v)
			}
		}
	}
	if box.Lo.X <= box.Hi.X {
		s.Box = [2][3]float64{xyz(box.Lo), xyz(box.Hi)}
	}
	s.Opening = export.NewOpening(m, drawn)
	for i := range m.Travels {
		s.Travels = append(s.Travels, travel(&m.Travels[i]))
	}
	for _, b := range m.Goal.Bounds {
		t := &m.Travels[b.Travel]
		s.GoalAt = append(s.GoalAt, Bound{b.Travel, finite(wording.Outside(t, b.Lo)), finite(wording.Outside(t, b.Hi))})
	}
	return s, meshes
}

// attitudes lists the ways the box may be held.
func attitudes(m *mechanism.Mechanism) []Attitude {
	out := []Attitude{}
	ups := m.Ups()
	near := hands.Neighbours(ups)
	for i, u := range ups {
		out = append(out, Attitude{Up: xyz(u), Words: wording.Up(u), Near: append([]int{}, near[i]...)})
	}
	return out
}

func tools(m *mechanism.Mechanism) []Tool {
	out := []Tool{}
	for i := range m.Tools {
		t := Tool{Name: m.Tools[i].Name, Seats: []int{}}
		for _, s := range m.Tools[i].Seats {
			t.Seats = append(t.Seats, s.Part)
		}
		out = append(out, t)
	}
	return out
}

func params(ps []mechanism.Param) []Param {
	out := []Param{}
	for _, p := range ps {
		out = append(out, Param{
			Name: p.Name, Value: p.Value, Default: p.Default, Min: finite(p.Min), Max: finite(p.Max),
			Unit: p.Unit, Note: p.Note, Line: p.Pos.Line,
		})
	}
	return out
}

func travel(t *mechanism.Travel) Travel {
	return Travel{
		Name: t.Name, Part: t.Part, Kind: t.Kind.String(), Unit: wording.Unit(t), Point: xyz(t.Axis.Point), Dir: xyz(t.Axis.Dir),
		Lead: t.Lead, Lo: bounded(wording.Outside(t, t.Lo)), Hi: bounded(wording.Outside(t, t.Hi)), Full: t.Full,
		Forward: wording.Direction(t, true), Backward: wording.Direction(t, false),
		Moved: t.Moved.String(), Springs: t.Spring != nil,
	}
}

func xyz(v geom.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }

func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}

// bounded is v, or a number so large that it is no limit where JSON has no infinity.
func bounded(v float64) float64 { return min(max(v, -1e6), 1e6) }

// outside is a configuration in mm and degrees.
func outside(l *pipeline.Live, q []float64) []float64 {
	out := slices.Clone(q)
	for i := range out {
		out[i] = wording.Outside(&l.Mechanism.Travels[i], out[i])
	}
	return out
}

// inside is a value in mm or radians.
func inside(t *mechanism.Travel, v float64) float64 {
	if t.Kind == mechanism.Slide {
		return v
	}
	return units.Rad(v)
}

// packed is a mesh as the page reads it.
func packed(m *mesh.Mesh) []byte {
	var b bytes.Buffer
	b.Grow(8 + 12*(len(m.V)+len(m.T)))
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	put([2]uint32{uint32(len(m.V)), uint32(len(m.T))})
	xs := make([]float32, 0, 3*len(m.V))
	for _, v := range m.V {
		xs = append(xs, float32(v.X), float32(v.Y), float32(v.Z))
	}
	put(xs)
	ts := make([]uint32, 0, 3*len(m.T))
	for _, t := range m.T {
		ts = append(ts, uint32(t[0]), uint32(t[1]), uint32(t[2]))
	}
	put(ts)
	return b.Bytes()
}

// mesh sends triangles. Its name is the hash of what it holds, so a browser may
// keep it.
func (s *Server) mesh(w http.ResponseWriter, r *http.Request) (any, error) {
	b, ok := s.runs.meshes.Get(r.PathValue("mesh"))
	if !ok {
		return nil, gone("That mesh is not at hand any more; prove again.")
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
	_, _ = w.Write(b)
	return nil, nil
}

// stage gives a built design.
func (s *Server) stage(id string) (*staged, error) {
	st, ok := s.runs.stages.Get(id)
	if !ok {
		return nil, gone("That design is not at hand any more; prove again.")
	}
	return st, nil
}
