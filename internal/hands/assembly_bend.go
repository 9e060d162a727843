package hands

import (
	"math"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Bend is a travel along which a part goes on once it is in: from the value At, at which
// it comes in straight, to where it stands.
type Bend struct {
	Travel int
	At     float64 // mm or radians
}

// round finds a part that comes out of those left by going to a limit of one of its own
// travels first, and straight from there.
func (a *assembler) round(left []int) (*Entry, error) {
	for _, p := range left {
		if len(a.riders(p, left)) > 0 {
			continue
		}
		for _, t := range a.m.Parts[p].Travels {
			tr := &a.m.Travels[t]
			for _, end := range [2]float64{tr.Lo, tr.Hi} {
				if tr.Full || math.IsInf(end, 0) || math.Abs(end-a.q[t]) < 1e-9 {
					continue
				}
				e, err := a.from(p, t, end, left)
				if e != nil || err != nil {
					return e, err
				}
			}
		}
	}
	return nil, nil
}

// others lists the parts that stand about p while the parts left are there.
func (a *assembler) others(p int, left []int) []int {
	var out []int
	for o := range a.m.Parts {
		if o == p || a.bodies[o] == nil || a.m.Parts[o].Glued {
			continue
		}
		if a.m.Parts[o].Frame || contains(left, o) {
			out = append(out, o)
		}
	}
	return out
}

func contains(s []int, x int) bool {
	for _, v := range s {
		if v == x {
			return true
		}
	}
	return false
}

// from looks for a straight way out of part p with its travel t at a limit.
func (a *assembler) from(p, t int, end float64, left []int) (*Entry, error) {
	tr := a.m.Travels[t]
	tr.Part, tr.Axis = 1, a.axis(p, t)
	by := end - a.q[t]
	tr.Lo, tr.Hi = min(0, by), max(0, by)
	for _, o := range a.others(p, left) {
		if ok, err := a.keepsOff(p, o, tr); !ok || err != nil {
			return nil, err
		}
	}
	shape := moved(a.meshes[p], tr.Motion(by))
	body, err := clearance.NewBody(shape)
	if err != nil {
		return nil, err
	}
	for _, d := range a.ways(p) {
		clear := true
		for _, o := range a.others(p, left) {
			if clear, err = a.passes(shape, body, p, o, d); err != nil {
				return nil, err
			}
			if !clear {
				break
			}
		}
		if clear {
			return &Entry{Part: p, Way: geom.Vec{X: -d.X, Y: -d.Y, Z: -d.Z}, Bend: &Bend{Travel: t, At: end}}, nil
		}
	}
	return nil, nil
}

// axis is the axis of travel t of part p as the part stands.
func (a *assembler) axis(p, t int) geom.Line {
	g := geom.Identity()
	own := a.m.Parts[p].Travels
	before := false
	for i := len(own) - 1; i >= 0; i-- {
		if before {
			g = g.Then(a.m.Travels[own[i]].Motion(a.q[own[i]]))
		}
		before = before || own[i] == t
	}
	if c := a.m.Parts[p].Carrier; c >= 0 {
		g = g.Then(a.m.Pose(c, a.q))
	}
	l := a.m.Travels[t].Axis
	return geom.Line{Point: g.Apply(l.Point), Dir: g.Turn(l.Dir)}
}

// keepsOff tells whether part p keeps off part o all along a travel.
func (a *assembler) keepsOff(p, o int, tr mechanism.Travel) (bool, error) {
	need := a.m.Needs(p, o, 0) - assemblyDeep
	m := &mechanism.Mechanism{
		Parts:   []mechanism.Part{{Frame: true, Carrier: -1}, {Carrier: 0, Travels: []int{0}}},
		Travels: []mechanism.Travel{tr},
		Start:   []float64{0},
	}
	return a.free(m, o, a.bodies[p], need)
}

// free tells whether the part of m's one travel keeps off part o all along it, as far as
// a map of the width asked shows.
func (a *assembler) free(m *mechanism.Mechanism, o int, body *clearance.Body, need float64) (bool, error) {
	k, err := clearance.New(m, 0, 1, a.bodies[o], body)
	if err != nil {
		return false, err
	}
	if err := k.Refine(a.ctx, []float64{need}, assemblyWidth); err != nil {
		return false, err
	}
	for c := range k.Cells() {
		if c.Upper < need {
			return false, nil
		}
	}
	return true, nil
}
