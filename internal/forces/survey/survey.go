package survey

import (
	"feint/internal/forces"
	"feint/internal/forces/caution"
	"feint/internal/forces/load"
	"feint/internal/forces/magnet"
	"feint/internal/forces/strength"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Survey is what forces do in one mechanism.
type Survey struct {
	Magnets  []magnet.Placed // all magnets and pieces of steel, in the order of the parts
	Meetings []Meeting
	Reached  bool     // the meetings are those that can be reached, as Keep leaves them
	Courses  []Course // of the travels that magnets push somewhere along their strokes
	OnWay    []Pulled // along the strokes of the way, as Follow leaves them
	Lids     []Lid
	Features []Feature
	Cocks    []Cock // slides that a hand may push off their line, as Cocks gives them
	Screws   []Screw
	Seats    []Seated // of magnets whose pockets are drawn
	Falls    []Fall
	Cautions []caution.Caution
}

// Meeting is two magnets of different parts that come near, or that are meant to.
type Meeting struct {
	A, B    int          // into Magnets, A before B
	Meant   magnet.Sense // Attract or Repel if the design says so, else Neither
	Nearest Place        // where they are nearest
	Against *Place       // where they do the contrary of what is meant most strongly; nil if nowhere
}

// Place is what two magnets do in one configuration.
type Place struct {
	Config []float64 // a value for every travel
	magnet.Meeting
}

// Lid is a part that magnets hold against a slide, at the start.
type Lid struct {
	Part, Travel int
	Count        int             // of magnets on its side that hold
	Each         forces.Interval // the weakest to the strongest of them, along the slide, N
	Pull         forces.Interval // of all magnets there are, along the slide, N
	Mass         float64         // of all that moves with it, kg
	Kept         forces.Interval // shaking along the slide that it stands, its weight against it, g
	Need         int             // how many of the weakest keep it at Level with Factor in hand; 0 if none can be told
	Peel         forces.Interval // at the rim, where the finger has the longest lever, if nothing keeps the lid from tipping, N
	Curve        []Opened        // what a hand feels while it opens, from shut on
}

// Opened is the pull of all magnets of a lid that is open by so much.
type Opened struct {
	By   float64 // mm
	At   float64 // value of the slide there, mm
	Pull forces.Interval
}

// Level is the shaking that a lid should stand, g (by convention, no source), and Factor
// how many times the force that takes is wanted.
const (
	Level  = 5.0
	Factor = 1.5
)

// Feature is a pin, web, lug or lip of a part.
type Feature struct {
	Part int
	strength.Feature
}

// PerPart is how many of a part's features are kept, weakest first.
const PerPart = 3

// Warmth is the range of temperatures at which a box is used, C (common practice).
func Warmth() forces.Interval { return forces.Interval{Lo: 0, Hi: 40} }

// What says what of a survey is wanted.
type What uint8

// What can be wanted: meetings and lids; what breaks; pockets; helices; what falls; what
// may hurt.
const (
	Magnets What = 1 << iota
	Weak
	Pockets
	Helices
	Falling
	Cautious
	All = Magnets | Weak | Pockets | Helices | Falling | Cautious
)

// Of goes over the mechanism. meshes[i] is part i as drawn, nil for one without a sound
// mesh; box is the same weighed; growth is the range asked, mm a surface. An error names a
// magnet that is not known.
func Of(m *mechanism.Mechanism, meshes []*mesh.Mesh, box *load.Box, growth forces.Interval) (*Survey, error) {
	return Only(m, meshes, box, growth, All)
}

// Only is Of for what is wanted; the rest stays empty.
func Only(m *mechanism.Mechanism, meshes []*mesh.Mesh, box *load.Box, growth forces.Interval, what What) (*Survey, error) {
	s := &Survey{}
	meant, err := s.place(m)
	if err != nil {
		return nil, err
	}
	for _, k := range []struct {
		what What
		find func()
	}{
		{Magnets, func() { s.meet(m, meant, growth); s.Courses = s.courses(m, growth); s.lids(m, box, meshes, growth) }},
		{Weak, func() { s.features(m, meshes) }},
		{Pockets, func() { s.seats(m, meshes) }},
		{Helices, func() { s.screws(m, box) }},
		{Falling, func() { s.falls(m, box, meshes) }},
		{Cautious, func() { s.caution(m, meshes) }},
	} {
		if what&k.what != 0 {
			k.find()
		}
	}
	return s, nil
}

// features lists the weakest features of every printed part.
func (s *Survey) features(m *mechanism.Mechanism, meshes []*mesh.Mesh) {
	for i := range m.Parts {
		p := &m.Parts[i]
		if p.Material.Bought || meshes[i] == nil {
			continue
		}
		// the plate's way up, as the part is drawn
		back := p.Print.Inverse()
		up := back.Turn(geom.Vec{Z: 1})
		if r3.Norm(up) < 0.5 { // no way of printing is given
			up = geom.Vec{Z: 1}
		}
		fs := strength.Features(meshes[i], strength.Of(p.Material.Name), up)
		for _, f := range fs[:min(PerPart, len(fs))] {
			s.Features = append(s.Features, Feature{i, f})
		}
	}
}
