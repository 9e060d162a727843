package hands

import (
	"fmt"
	"math"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bend is a travel along which a part goes on once it is in: from the value At, at which
// it comes in straight, to where it stands.
type Bend struct {
	Travel int
	At     float64 // mm or radians
}

// round finds a part that comes out of those left by going along one of its own travels
// first, and straight from there: to a limit, or turned to where it comes off its axis.
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
				e, err := a.from(p, t, end, left, a.ways(p))
				if e != nil || err != nil {
					return e, err
				}
			}
			if tr.Kind != mechanism.Turn {
				continue
			}
			if e, err := a.unturned(p, t, left); e != nil || err != nil {
				return e, err
			}
		}
	}
	return nil, nil
}

const (
	// windowStep is how finely it is looked at which angles a part may come off its axis,
	// radians: a narrower window is missed.
	windowStep = 3 * math.Pi / 180
	// mostWindows bounds the windows of one way that are measured.
	mostWindows = 3
	// mostGlanced bounds the points of a part that are looked at at every angle.
	mostGlanced = 100
)

// unturned looks for an angle between the limits of a turn at which the part comes straight
// out along its axis: as far as points of it show, then exactly in the middle of each
// window.
func (a *assembler) unturned(p, t int, left []int) (*Entry, error) {
	tr := a.m.Travels[t]
	tr.Axis = a.axis(p, t)
	lo, hi := tr.Lo, tr.Hi
	if tr.Full { // both ways round
		lo, hi = a.q[t]-math.Pi, a.q[t]+math.Pi
	}
	n := int((hi - lo) / windowStep)
	all, others := points(a.meshes[p]), a.others(p, left)
	var ours []geom.Vec
	for i := 0; i < len(all); i += 1 + len(all)/mostGlanced {
		ours = append(ours, all[i])
	}
	for _, d := range []geom.Vec{tr.Axis.Dir, r3.Scale(-1, tr.Axis.Dir)} {
		key := fmt.Sprint("unturned", a.at[p], t, d)
		if a.known[key] {
			continue
		}
		byFrame := true                  // alone: so it will be whatever is left
		open, last := 0, stop{other: -1} // open: angles in a row
		for i, seen := 1, 0; i <= n && seen < mostWindows; i++ {
			if err := a.ctx.Err(); err != nil {
				return nil, err
			}
			v := lo + float64(i)*windowStep
			if i < n && a.glanced(ours, tr.Motion(v-a.q[t]), p, others, d, &last) {
				open++
				byFrame = false
				continue
			}
			byFrame = byFrame && (last.other < 0 || a.m.Parts[last.other].Frame)
			if open == 0 {
				continue
			}
			mid := v - windowStep*float64(open+1)/2
			open, seen = 0, seen+1
			if e, err := a.from(p, t, mid, left, []geom.Vec{d}); e != nil || err != nil {
				return e, err
			}
		}
		a.known[key] = byFrame
	}
	return nil, nil
}

// stop is a point of a part that ran into something.
type stop struct {
	point, other int
	far          float64 // along the way, as a share of the size
}

// glanced tells whether points of a part, turned, seem to go along d past all others. What
// stopped it last is asked first: from one angle to the next it mostly does again.
func (a *assembler) glanced(ours []geom.Vec, turn geom.Motion, p int, others []int, d geom.Vec, last *stop) bool {
	hits := func(k stop) bool {
		at := r3.Add(turn.Apply(ours[k.point]), r3.Scale(k.far*a.size, d))
		return inside([]geom.Vec{at}, geom.Vec{}, a.tree(a.meshes[k.other]), a.m.Needs(p, k.other, 0)-assemblyDeep)
	}
	if last.other >= 0 && hits(*last) {
		return false
	}
	for _, o := range others {
		if a.m.Parts[o].Glued {
			continue
		}
		for _, f := range glances() {
			for i := range ours {
				if k := (stop{i, o, f}); hits(k) {
					*last = k
					return false
				}
			}
		}
	}
	return true
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

// run is travel t of part p as it goes from where it starts to a value, by how much, and
// the value as it is told.
func (a *assembler) run(p, t int, end float64) (tr mechanism.Travel, by, at float64) {
	tr, at = a.m.Travels[t], end
	if turn := tr.Hi - tr.Lo; tr.Full {
		at = tr.Lo + math.Mod(math.Mod(end-tr.Lo, turn)+turn, turn)
	}
	tr.Part, tr.Axis, tr.Full = 1, a.axis(p, t), false
	by = end - a.q[t]
	tr.Lo, tr.Hi = min(0, by), max(0, by)
	return tr, by, at
}

// from looks for a straight way out of part p, in one of the directions, with its travel t
// at a value.
func (a *assembler) from(p, t int, end float64, left []int, ways []geom.Vec) (*Entry, error) {
	tr, by, at := a.run(p, t, end)
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
	for _, d := range ways {
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
			return &Entry{Part: p, Way: geom.Vec{X: -d.X, Y: -d.Y, Z: -d.Z}, Bend: &Bend{Travel: t, At: at}}, nil
		}
	}
	return nil, nil
}

// axis is the axis of travel t of part p as the part stands.
func (a *assembler) axis(p, t int) geom.Line { return a.axisAt(p, t, a.q) }

// axisAt is axis with the parts as in q.
func (a *assembler) axisAt(p, t int, q []float64) geom.Line {
	g := geom.Identity()
	own := a.m.Parts[p].Travels
	before := false
	for i := len(own) - 1; i >= 0; i-- {
		if before {
			g = g.Then(a.m.Travels[own[i]].Motion(q[own[i]]))
		}
		before = before || own[i] == t
	}
	if c := a.m.Parts[p].Carrier; c >= 0 {
		g = g.Then(a.m.Pose(c, q))
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
