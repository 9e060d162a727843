package export

import (
	"math"

	"feint/internal/export/picture"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict/wording"

	"gonum.org/v1/gonum/spatial/r3"
)

// shot is how one picture of the storyboard is taken.
type shot struct {
	stage         *stage // turned as the box is held
	camera        *picture.Camera
	before, after []float64
	absent        map[int]bool // seats without their tool
	held          string       // how the box is held; empty where nobody ever turns it
	told          bool         // the move's own words say so
}

// shots are those of a way, one a move; w is the directed way that it was made of, or nil.
// All have one size and one scale.
func (s *stage) shots(plain *motion.Way, w *hands.Way) []shot {
	q := s.m.Start
	up := geom.Vec{Z: 1}
	if w != nil && len(w.Moves) != len(plain.Moves) {
		w = nil
	}
	if w != nil {
		q, up = w.Start, w.Up
	}
	stages := map[geom.Vec]*stage{}
	seats := firstSeats(s.m)
	out := make([]shot, min(len(plain.Moves), maxFrames))
	qs := [][]float64{s.m.Start, q}
	for i := range out {
		k := &out[i]
		k.before, k.after = q, after(q, &plain.Moves[i])
		if w != nil {
			m := &w.Moves[i]
			switch m.Kind {
			case hands.Turn:
				up = m.Up
			case hands.Take:
				seats = moved(seats, m.From, m.Part)
			case hands.Hand:
			}
			k.held, k.told, k.absent = wording.Up(up), m.Kind == hands.Turn, emptySeats(s.m, seats)
		}
		if stages[up] == nil {
			stages[up] = s.heldBy(up)
		}
		k.stage, q = stages[up], k.after
		qs = append(qs, q)
	}
	cameras := cameras(stages, qs)
	turns := len(stages) > 1 || math.Abs(r3.Norm(r3.Sub(up, geom.Vec{Z: 1}))) > 1e-9
	for i := range out {
		out[i].camera = cameras[out[i].stage]
		if !turns {
			out[i].held = ""
		}
	}
	return out
}

// after is where a move leads. Values of full turns are kept as they come; a pose does not mind.
func after(q []float64, k *motion.Move) []float64 {
	q = append([]float64{}, q...)
	for _, s := range k.Strokes {
		q[s.Travel] = s.To
	}
	return q
}

// firstSeats are the parts of the seats that hold their tools at the start.
func firstSeats(m *mechanism.Mechanism) map[int]bool {
	out := map[int]bool{}
	for i := range m.Tools {
		for k, s := range m.Tools[i].Seats {
			out[s.Part] = k == 0
		}
	}
	return out
}

func moved(seats map[int]bool, from, to int) map[int]bool {
	out := map[int]bool{}
	for part, holds := range seats {
		out[part] = part == to || holds && part != from
	}
	return out
}

func emptySeats(m *mechanism.Mechanism, seats map[int]bool) map[int]bool {
	out := map[int]bool{}
	for i := range m.Parts {
		if holds, seat := seats[i]; seat && !holds {
			out[i] = true
		}
	}
	return out
}

// heldBy is the stage with the box turned until a direction of the drawing is up, the
// cut going with it. The box is turned the shortest way, and upside down about the line
// across the cut, so that the eye finds the cut where it was. Of a level cut that would
// face the ground the other half is left.
func (s *stage) heldBy(up geom.Vec) *stage {
	z := geom.Vec{Z: 1}
	h := *s
	axis, angle := r3.Cross(up, z), math.Acos(max(-1, min(1, up.Z)))
	switch {
	case angle < 1e-9:
		return &h
	case math.Pi-angle < 1e-9:
		if axis = s.cut.Normal; math.Abs(axis.Z) > 1e-9 {
			axis = geom.Vec{X: 1}
		}
	}
	h.turn = geom.Rotation(geom.Line{Dir: r3.Unit(axis)}, angle)
	h.cut = picture.Plane{Point: h.turn.Apply(s.cut.Point), Normal: h.turn.Turn(s.cut.Normal)}
	if h.cut.Normal.Z < -0.9 {
		h.cut.Normal = r3.Scale(-1, h.cut.Normal)
	}
	h.in = sight(h.cut.Normal)
	return &h
}

// cameras frame everything, as it is held, at all the given configurations.
func cameras(stages map[geom.Vec]*stage, qs [][]float64) map[*stage]*picture.Camera {
	z := geom.Vec{Z: 1}
	extents := map[*stage]picture.Extent{}
	var w, h float64
	for _, s := range stages {
		e := s.extent(qs)
		ew, eh := e.Size()
		w, h = max(w, ew), max(h, eh)
		extents[s] = e
	}
	out := map[*stage]*picture.Camera{}
	for s, e := range extents {
		mx, my := (e.Left+e.Right)/2, (e.Bottom+e.Top)/2
		e = picture.Extent{Left: mx - w/2, Right: mx + w/2, Bottom: my - h/2, Top: my + h/2}
		c := picture.LookAlong(s.in, z, e, frameW, tall(e, frameW), 0.05)
		out[s] = &c
	}
	return out
}
