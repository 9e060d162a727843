package survey

import (
	"feint/internal/forces/seat"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Seated is the pocket of a magnet or a piece of steel in a printed part, as its mesh has
// it. The second of each pair of ends is that towards North.
type Seated struct {
	Magnet int // into Magnets
	seat.Seat
	Up float64 // cosine of the angle between North and the way up in print
}

// Depth is how deep the pocket is from the face round its opening, mm, and on which side it
// opens; false where it has not just one opening and a floor.
func (s *Seated) Depth() (depth float64, side int, ok bool) {
	for k := range s.Ends {
		if open(s.Ends[k]) && !open(s.Mouth[k]) && !open(s.Ends[1-k]) {
			return s.Mouth[k] + s.Ends[1-k], k, true
		}
	}
	return 0, 0, false
}

// Height is from the floor to the roof of a pocket that is closed on both sides, mm.
func (s *Seated) Height() (float64, bool) {
	if open(s.Ends[0]) || open(s.Ends[1]) {
		return 0, false
	}
	return s.Ends[0] + s.Ends[1], true
}

// Roof is which end of the pocket is its roof in print; false where it lies on its side or
// is open upwards.
func (s *Seated) Roof() (side int, ok bool) {
	switch {
	case s.Up > along:
		side = 1
	case s.Up < -along:
		side = 0
	default:
		return 0, false
	}
	return side, !open(s.Ends[side])
}

// open tells the mark of an open side.
func open(v float64) bool { return v > 1e9 }

// seats measures the pockets that are drawn.
func (s *Survey) seats(m *mechanism.Mechanism, meshes []*mesh.Mesh) {
	for i := range s.Magnets {
		p := &s.Magnets[i]
		part := &m.Parts[p.Part]
		if part.Material.Bought || meshes[p.Part] == nil {
			continue
		}
		k, ok := seat.Of(meshes[p.Part], p.Centre, p.North, p.Magnet.D, p.Magnet.L)
		if !ok {
			continue
		}
		back := part.Print.Inverse()
		up := back.Turn(geom.Vec{Z: 1})
		if r3.Norm(up) < 0.5 { // no way of printing is given
			up = geom.Vec{Z: 1}
		}
		s.Seats = append(s.Seats, Seated{Magnet: i, Seat: k, Up: r3.Dot(p.North, up)})
	}
}
