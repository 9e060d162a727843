package design

import (
	"fmt"
	"hash/fnv"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
	"gonum.org/v1/gonum/spatial/r3"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// unknownType is the type name of unknown values. No maker's file can spell it,
// so a message that holds it is a consequence of a mistake already reported.
const unknownType = "⊥"

// unknown stands in for a value whose making failed, so that the rest of the
// design can still be examined. Whatever touches it becomes unknown in silence.
type unknown struct{}

func (unknown) String() string        { return unknownType }
func (unknown) Type() string          { return unknownType }
func (unknown) Freeze()               {}
func (unknown) Truth() starlark.Bool  { return false }
func (unknown) Hash() (uint32, error) { return 0, nil }
func (unknown) Name() string          { return unknownType }
func (unknown) CallInternal(*starlark.Thread, starlark.Tuple, []starlark.Tuple) (starlark.Value, error) {
	return unknown{}, nil
}

func isUnknown(v starlark.Value) bool {
	_, ok := v.(unknown)
	return ok
}

// opaque is what the values of the language have in common: they are never
// changed and are told apart by identity.
type opaque struct{ kind string }

func (o *opaque) String() string        { return "<" + o.kind + ">" }
func (o *opaque) Type() string          { return o.kind }
func (o *opaque) Freeze()               {}
func (o *opaque) Truth() starlark.Bool  { return true }
func (o *opaque) Hash() (uint32, error) { return 0, fmt.Errorf("unhashable type: %s", o.kind) }

// solid is a drawn solid. leaves and depth bound the work of whoever walks it.
type solid struct {
	opaque
	shape  *mechanism.Shape
	leaves int
	depth  int
}

// outline is a plane figure.
type outline struct {
	opaque
	profile mechanism.Profile
}

// vertex is a corner of an outline, with its treatment.
type vertex struct {
	opaque
	point mechanism.ProfilePoint
}

// direction is a signed axis; x, y and z are such.
type direction struct{ vec geom.Vec }

func (d direction) String() string {
	return fmt.Sprintf("direction(%.6g, %.6g, %.6g)", d.vec.X, d.vec.Y, d.vec.Z)
}
func (d direction) Type() string          { return "direction" }
func (d direction) Freeze()               {}
func (d direction) Truth() starlark.Bool  { return true }
func (d direction) Hash() (uint32, error) { return hashString(d.String()), nil }

// Unary gives the opposite direction.
func (d direction) Unary(op syntax.Token) (starlark.Value, error) {
	switch op {
	case syntax.MINUS:
		return direction{r3.Sub(geom.Vec{}, d.vec)}, nil
	case syntax.PLUS:
		return d, nil
	default:
		return nil, nil
	}
}

// freedom is a travel as described, not yet given to a part. Its angles are
// still degrees.
type freedom struct {
	opaque
	travel mechanism.Travel
}

// travel is a travel of a part, in degrees or mm as in the file.
type travel struct {
	name   string
	owner  *part
	travel mechanism.Travel
}

func (t *travel) String() string        { return t.owner.name + "." + t.name }
func (t *travel) Type() string          { return "travel" }
func (t *travel) Freeze()               {}
func (t *travel) Truth() starlark.Bool  { return true }
func (t *travel) Hash() (uint32, error) { return hashString(t.String()), nil }

// turning tells that the values of a travel are angles.
func turning(k mechanism.Kind) bool { return k != mechanism.Slide }

// part is a part of the design.
type part struct {
	name       string
	frame      bool
	vague      bool // a travel of it is unknown: its travels cannot be checked by name
	solid      starlark.Value
	shape      *mechanism.Shape
	carrier    string // the name of the part that carries it; "" for the frame
	carrierPos mechanism.Pos
	travels    []*travel
	data       mechanism.Part
}

func (p *part) String() string        { return "part " + p.name }
func (p *part) Type() string          { return "part" }
func (p *part) Freeze()               {}
func (p *part) Truth() starlark.Bool  { return true }
func (p *part) Hash() (uint32, error) { return hashString(p.name), nil }

// member is an attribute of the part: its solid, its name, or a travel.
func (p *part) member(name string) starlark.Value {
	switch name {
	case "solid":
		return p.solid
	case "name":
		return starlark.String(p.name)
	}
	for _, t := range p.travels {
		if t.name == name {
			return t
		}
	}
	if p.vague {
		return unknown{}
	}
	return nil
}

func (p *part) members() []string {
	ns := []string{"name", "solid"}
	for _, t := range p.travels {
		ns = append(ns, t.name)
	}
	return ns
}

func hashString(s string) uint32 {
	h := fnv.New32a()
	h.Write([]byte(s))
	return h.Sum32()
}
