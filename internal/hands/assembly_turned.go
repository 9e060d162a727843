package hands

import (
	"math"
	"slices"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// turned lists the half turns with which the part of an entry also goes in.
func (a *assembler) turned(e *Entry, left []int) error {
	if len(e.With) > 0 || e.Bend != nil || e.Leg != nil || e.Path != nil {
		return nil
	}
	shape := a.meshes[e.Part]
	b := shape.Bounds()
	mid := r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
	tree := mesh.NewTree(shape)
	for _, axis := range []geom.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		other := moved(shape, geom.Rotation(geom.Line{Point: mid, Dir: axis}, math.Pi))
		if a.turns(e.Part, geom.Line{Point: mid, Dir: axis}) || same(tree, other) {
			continue
		}
		body, err := clearance.NewBody(other)
		if err != nil {
			continue // it cannot be looked at
		}
		ok := true
		for o := range a.m.Parts {
			if !ok || a.bodies[o] == nil || o == e.Part || !a.m.Parts[o].Frame && !slices.Contains(left, o) {
				continue
			}
			if ok, err = a.passes(other, body, e.Part, o, r3.Scale(-1, e.Way)); err != nil {
				return err
			}
		}
		if ok {
			e.Turned = append(e.Turned, axis)
		}
	}
	return nil
}

// turns tells whether a half turn about the line is one of the part's own, so that what
// looks the other way round is only turned.
func (a *assembler) turns(p int, l geom.Line) bool {
	carrier := a.carrier(p, a.q)
	for _, t := range a.m.Parts[p].Travels {
		k := &a.m.Travels[t]
		if k.Kind != mechanism.Turn || !k.Full && a.q[t]+math.Pi > k.Hi+sameTurn && a.q[t]-math.Pi < k.Lo-sameTurn {
			continue
		}
		off := r3.Cross(r3.Sub(l.Point, carrier.Apply(k.Axis.Point)), l.Dir)
		if r3.Norm(r3.Cross(carrier.Turn(k.Axis.Dir), l.Dir)) < sameTurn && r3.Norm(off) < sameShape {
			return true
		}
	}
	return false
}

// same tells whether other lies on the surface of the tree's mesh, as far as some of its
// points show.
func same(tree *mesh.Tree, other *mesh.Mesh) bool {
	for _, v := range points(other) {
		if d, _, _ := tree.Signed(v); math.Abs(d) > sameShape {
			return false
		}
	}
	return true
}
