package hands

import (
	"math"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Straight is a straight way on which a part goes on once it is in.
type Straight struct {
	Way geom.Vec // unit, inwards, as the box is drawn
	Far float64  // mm
}

const (
	// legSteps is into how many steps the size of the whole is divided for the places at
	// which a part may change its direction: a narrower place is missed.
	legSteps = 60
	// legLooks bounds how often points of parts are looked at for ways with two legs in one
	// assembly, and legTries how many such ways are measured: both are counted, not timed.
	legLooks = 3000
	legTries = 12
	// quarters is how often a full turn is tried before such a way.
	quarters = 4
)

// legs finds a part that comes out of those left by going straight, and from some place on
// straight in another direction; from where it stands, or from a limit of one of its own
// travels, to which it goes first.
func (a *assembler) legs(left []int) (*Entry, error) {
	for _, p := range left {
		if len(a.riders(p, left)) > 0 {
			continue
		}
		e, err := a.legsOf(p, a.meshes[p], left)
		if e != nil || err != nil {
			return e, err
		}
		for _, t := range a.m.Parts[p].Travels {
			for _, at := range a.corners(t) {
				if e, err := a.legsAt(p, t, at, left); e != nil || err != nil {
					return e, err
				}
			}
		}
	}
	return nil, nil
}

// corners are the values of a travel from which ways with two legs are tried.
func (a *assembler) corners(t int) []float64 {
	tr := &a.m.Travels[t]
	var out []float64
	if tr.Full {
		for i := 1; i < quarters; i++ {
			out = append(out, a.q[t]+(tr.Hi-tr.Lo)*float64(i)/quarters)
		}
		return out
	}
	for _, v := range [2]float64{tr.Lo, tr.Hi} {
		if !math.IsInf(v, 0) && math.Abs(v-a.q[t]) > 1e-9 {
			out = append(out, v)
		}
	}
	return out
}

// legsAt is legsOf with a travel of the part at a value, if it comes there.
func (a *assembler) legsAt(p, t int, at float64, left []int) (*Entry, error) {
	tr, by, value := a.run(p, t, at)
	e, err := a.legsOf(p, moved(a.meshes[p], tr.Motion(by)), left)
	if e == nil || err != nil {
		return nil, err
	}
	for _, o := range a.others(p, left) { // asked last, as the dearest
		if ok, err := a.keepsOff(p, o, tr); !ok || err != nil {
			return nil, err
		}
	}
	e.Bend = &Bend{Travel: t, At: value}
	return e, nil
}

// legsOf looks for two legs out for part p in the shape.
func (a *assembler) legsOf(p int, shape *mesh.Mesh, left []int) (*Entry, error) {
	all, others := points(shape), a.others(p, left)
	var ours []geom.Vec
	for i := 0; i < len(all); i += 1 + len(all)/mostGlanced {
		ours = append(ours, all[i])
	}
	for _, first := range a.ways(p) {
		if a.looks > legLooks || a.tries >= legTries {
			return nil, nil
		}
		room := a.room(p, ours, others, first)
		for _, then := range a.ways(p) {
			if math.Abs(r3.Dot(first, then)) > 1-1e-9 {
				continue
			}
			e, err := a.bend(p, shape, ours, others, first, then, room)
			if e != nil || err != nil {
				return e, err
			}
		}
	}
	return nil, nil
}

// room is how many steps points of a part seem to go along d before one of them is in
// another part.
func (a *assembler) room(p int, ours []geom.Vec, others []int, d geom.Vec) int {
	for i := 1; i <= legSteps; i++ {
		if a.looks++; a.looks > legLooks {
			return 0
		}
		by := r3.Scale(a.size*float64(i)/legSteps, d)
		for _, o := range others {
			if !a.m.Parts[o].Glued && inside(ours, by, a.tree(a.meshes[o]), a.m.Needs(p, o, 0)-assemblyDeep) {
				return i - 1
			}
		}
	}
	return legSteps
}

// bend looks for the place on the first leg from which the second leads out: as far as
// points show, then exactly in the middle of each run of such places.
func (a *assembler) bend(p int, shape *mesh.Mesh, ours []geom.Vec, others []int, first, then geom.Vec, room int) (*Entry, error) {
	open, last := 0, stop{other: -1}
	for i := 1; i <= room+1 && a.looks <= legLooks && a.tries < legTries; i++ {
		a.looks++
		if err := a.ctx.Err(); err != nil {
			return nil, err
		}
		by := geom.Identity()
		by.T = r3.Scale(a.size*float64(i)/legSteps, first)
		if i <= room && a.glanced(ours, by, p, others, then, &last) {
			open++
			continue
		}
		if open == 0 {
			continue
		}
		mid := a.size * (float64(i-1) - float64(open-1)/2) / legSteps
		open = 0
		a.tries++
		ok, err := a.twoLegs(p, shape, others, first, mid, then)
		if err != nil {
			return nil, err
		}
		if ok {
			return &Entry{Part: p, Way: r3.Scale(-1, then), Leg: &Straight{Way: r3.Scale(-1, first), Far: mid}}, nil
		}
	}
	return nil, nil
}

// twoLegs tells whether the shape goes along first by far, and out along then, past all
// others.
func (a *assembler) twoLegs(p int, shape *mesh.Mesh, others []int, first geom.Vec, far float64, then geom.Vec) (bool, error) {
	body, err := clearance.NewBody(shape)
	if err != nil {
		return false, err
	}
	there := moved(shape, geom.Motion{R: geom.Identity().R, T: r3.Scale(far, first)})
	later, err := clearance.NewBody(there)
	if err != nil {
		return false, err
	}
	slide := &mechanism.Mechanism{
		Parts:   []mechanism.Part{{Frame: true, Carrier: -1}, {Carrier: 0, Travels: []int{0}}},
		Travels: []mechanism.Travel{{Part: 1, Axis: geom.Line{Dir: first}, Hi: far}},
		Start:   []float64{0},
	}
	for _, o := range others {
		ok, err := a.passes(there, later, p, o, then)
		if !ok || err != nil {
			return false, err
		}
		if !a.m.Parts[o].Glued {
			if ok, err = a.free(slide, o, body, a.m.Needs(p, o, 0)-assemblyDeep); !ok || err != nil {
				return false, err
			}
		}
	}
	return true, nil
}
