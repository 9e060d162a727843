package hands

import (
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// Stretch is one stretch of a way in: straight, or a turn.
type Stretch struct {
	Way   geom.Vec  // unit, inwards, as the box is drawn; zero for a turn
	Far   float64   // mm; 0 for the first, which comes from outside
	Axis  geom.Line // of a turn
	Angle float64   // radians, right-handed about Axis; 0 for a straight stretch
}

// Place is where a travel stands.
type Place struct {
	Travel int
	At     float64 // mm or radians
}

// Shift moves a part that is in along a travel of its own.
type Shift struct {
	Travel   int
	From, To float64 // mm or radians
	Back     int     // the move of the way, from 1, that it undoes; 0: none
}

// Tried is what was looked at for parts that stay.
type Tried struct {
	Further bool // more than straight ways and such of two stretches
	Places  int  // configurations of the other parts
	Stands  int  // places and attitudes of single parts
	Short   bool // the bound on what is looked at was reached
}

// What a search takes is bounded by how many points of parts are looked at, counted as
// farCost says: 1.5e8 are some two seconds of a desktop processor of 2020.
const (
	huntShift  = 5e7 // with other parts at other places, for one part to come out
	huntWander = 6e7 // of single parts, for one to come out
	huntAll    = 1.5e8
	huntTries  = 40  // ways that are measured exactly, in all
	huntPlaces = 400 // configurations, for one part to come out
)

// hunt looks for ways out that simpler looks did not find: with points of the parts, and of
// what they find exactly.
type hunt struct {
	a      *assembler
	way    [][]float64
	on     int // the place on the way at which the parts stand; -1: elsewhere
	depths []*depths
	met    map[pairKey]int
	cost   int
	tries  int
	tried  Tried
	keeper map[int]int // by part the one that is proved to keep it; -1: none was found
}

func (a *assembler) hunt(way [][]float64) *hunt {
	h := &hunt{a: a, way: way, met: map[pairKey]int{}, keeper: map[int]int{}, depths: make([]*depths, len(a.drawn))}
	return h
}

// ready makes what is looked at once it is needed.
func (h *hunt) ready() {
	h.tried.Further = true
	for p := range h.depths {
		if h.a.bodies[p] != nil && h.depths[p] == nil {
			h.depths[p] = newDepths(h.a.drawn[p], &h.cost)
		}
	}
}

// find is a way out of one of the parts left: straight, with others at other places first;
// then on more stretches and with turns, as the parts stand and as they stand on the way.
func (h *hunt) find(left []int) (*Entry, error) {
	h.ready()
	some := false
	for _, p := range left {
		for _, parts := range h.groups(p, left) {
			some = !h.held(parts, left) || some // of all of them, so that they need not be tried
		}
	}
	if !some {
		return nil, h.a.ctx.Err()
	}
	e, err := h.shifted(left)
	if e != nil || err != nil {
		return e, err
	}
	return h.wandered(left)
}

// held tells whether it is proved that a part beside a group keeps one of it.
func (h *hunt) held(parts, left []int) bool {
	return slices.ContainsFunc(parts, func(p int) bool { return h.caught(p, left) && !slices.Contains(parts, h.keeper[p]) })
}

// caught tells whether it is proved that one of the others keeps part p, however it is
// turned.
func (h *hunt) caught(p int, left []int) bool {
	if by, ok := h.keeper[p]; ok {
		return by >= 0 && (h.a.m.Parts[by].Frame || slices.Contains(left, by))
	}
	h.keeper[p] = -1
	for _, o := range h.around([]int{p}, left) {
		if h.keeps(p, o, Anyhow) {
			h.keeper[p] = o
			return true
		}
	}
	return false
}

// spent tells whether more than a bound was looked at since the count was from.
func (h *hunt) spent(from int, bound float64) bool {
	if float64(h.cost-from) > bound || float64(h.cost) > huntAll || h.tries >= huntTries {
		h.tried.Short = true
		return true
	}
	return h.a.ctx.Err() != nil
}

// step is how far parts are moved between looks, mm.
func (h *hunt) step() float64 { return max(0.4, min(1.5, h.a.size/100)) }

// leaves tells whether the group seems to go straight out along d from where g brings it.
func (k *group) leaves(g geom.Motion, d geom.Vec) bool {
	for i := 1; ; i++ {
		at := g
		at.T = r3.Add(g.T, r3.Scale(float64(i)*k.h.step(), d))
		if k.hits(at) {
			return false
		}
		if k.out(at, d) || float64(i)*k.h.step() > k.h.a.size {
			return true
		}
	}
}

// groups lists part p alone and, where something rides on it, with that.
func (h *hunt) groups(p int, left []int) [][]int {
	if r := h.a.riders(p, left); len(r) > 0 {
		return [][]int{{p}, append([]int{p}, r...)}
	}
	return [][]int{{p}}
}

// around lists the parts that stand about a group.
func (h *hunt) around(parts, left []int) []int {
	return slices.DeleteFunc(h.a.others(parts[0], left), func(o int) bool { return slices.Contains(parts, o) })
}

// seemingly finds a part that seems to come straight out with the parts as in q, and where
// to; not one of those that were found not to.
func (h *hunt) seemingly(left []int, q []float64, not map[string]bool) (*Entry, string) {
	for _, p := range left {
		for _, parts := range h.groups(p, left) {
			if h.held(parts, left) {
				continue
			}
			k := h.gather(parts, h.around(parts, left), q)
			for _, d := range h.a.waysAt(p, q) {
				key := h.exitKey(k, d)
				if not[key] {
					continue
				}
				if !k.leaves(geom.Identity(), d) {
					not[key] = true
					continue
				}
				return &Entry{Part: p, With: parts[1:], Way: r3.Scale(-1, d)}, key
			}
		}
	}
	return nil, ""
}

// exitKey names how a group and the others stand, and a way out.
func (h *hunt) exitKey(k *group, d geom.Vec) string {
	b := make([]byte, 0, 64)
	for i := range k.poses {
		b = appendPose(append(b, byte(k.parts[i])), k.poses[i])
	}
	b = append(b, '|')
	for i := range k.stand {
		b = appendPose(append(b, byte(k.others[i])), k.stand[i])
	}
	return string(appendVec(b, d))
}

func appendPose(b []byte, g geom.Motion) []byte {
	for i := range g.R {
		b = appendVec(b, r3.Scale(100, g.R[i]))
	}
	return appendVec(b, g.T)
}

// appendVec adds a vector to 1e-3.
func appendVec(b []byte, v geom.Vec) []byte {
	for _, x := range [3]float64{v.X, v.Y, v.Z} {
		i := int32(math.Round(x * 1e3))
		b = append(b, byte(i), byte(i>>8), byte(i>>16), byte(i>>24))
	}
	return b
}

// turning tells whether a travel is told in angles.
func turning(t *mechanism.Travel) bool { return t.Kind != mechanism.Slide }
