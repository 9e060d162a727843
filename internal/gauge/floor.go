package gauge

import (
	"fmt"
	"math"

	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// floor is how thick the plate is that holds the walls of a hollow right through a part,
// mm: eight layers of 0.2.
const floor = 1.6

// floored holds the pieces into which a hollow falls, two walls of a track right through
// the part, by a plate on one side of them, the lower one as printed if that will do. The
// plug is cut off above it, so that it is no face of the hollow. cutter left the pieces,
// and ylo to yhi is what there is of the plug.
func (j *job) floored(cutter, pieces *mesh.Mesh, ylo, yhi, lo, hi float64) string {
	if j.f.Round {
		return "cut out, the hollow falls into pieces"
	}
	f := &j.frame
	xs, ys := span(cutter, f, f.x), span(pieces, f, f.y)
	sides := [2]float64{-1, 1}
	if j.outer.Print.Turn(f.y).Z < 0 {
		sides = [2]float64{1, -1}
	}
	why := "cut out, the hollow falls into pieces"
	for _, s := range sides {
		plate, from, to := f.box(xs[0], xs[1], ys[0]-floor, ys[0], lo, hi), max(ylo, ys[0]+foot), yhi
		if s > 0 {
			plate, from, to = f.box(xs[0], xs[1], ys[1], ys[1]+floor, lo, hi), ylo, min(yhi, ys[1]-foot)
		}
		m, err := joined([]*mesh.Mesh{pieces, plate}, j.s.options())
		if err != nil {
			return err.Error()
		}
		socket, lost := largest(m)
		if lost > 0.02 || harm(socket) != "" {
			continue
		}
		j.socket = socket
		if fault := j.cutPlug(cutter, from, to, lo, hi); fault != "" {
			why += fmt.Sprintf("; held by a plate, %s", fault)
			continue
		}
		j.notes = []string{fmt.Sprintf("the hollow goes right through the part: a plate of %.1f mm that the box does not have holds its walls", floor)}
		return ""
	}
	return why
}

// span is how far a mesh reaches along a direction, about the frame's middle.
func span(m *mesh.Mesh, f *frame, dir r3.Vec) [2]float64 {
	out := [2]float64{math.Inf(1), math.Inf(-1)}
	for _, v := range m.V {
		h := r3.Dot(dir, r3.Sub(v, f.at))
		out = [2]float64{min(out[0], h), max(out[1], h)}
	}
	return out
}
