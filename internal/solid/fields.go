package solid

import (
	"fmt"
	"math"

	"feint/internal/field"
	"feint/internal/mechanism"
)

// Field is the drawing s as a signed distance bound: the sign is right
// everywhere and the value never exceeds the distance to the surface. It is
// made from the measures of the drawing alone, without facets, and so checks
// what Build makes. Mesh files have no drawing and are refused, and so is a
// square-ended path whose first or last run is shorter than half its width.
func Field(s *mechanism.Shape) (field.Field, error) {
	var args []field.Field
	for _, a := range s.Args {
		f, err := Field(a)
		if err != nil {
			return nil, err
		}
		args = append(args, f)
	}
	switch s.Op {
	case mechanism.Leaf:
		f, err := primitiveField(s.Prim)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.Pos, err)
		}
		return f, nil
	case mechanism.Join:
		return field.Union(args...), nil
	case mechanism.Cut:
		return field.Cut(args[0], args[1:]...), nil
	case mechanism.Common:
		return field.Common(args...), nil
	case mechanism.Place:
		return field.Place(args[0], s.Move), nil
	case mechanism.Mirror:
		return field.Mirror(args[0], s.Plane), nil
	}
	return nil, fmt.Errorf("%s: unknown operation %d", s.Pos, s.Op)
}

func primitiveField(p mechanism.Primitive) (field.Field, error) {
	switch p := p.(type) {
	case mechanism.Block:
		return blockField(p)
	case mechanism.Extrusion:
		l, err := extrusionOutline(p)
		if err != nil {
			return nil, err
		}
		return field.Extruded(field.NewOutline(l), field.NewOutline(l[:1]), p.H, p.Chamfer), nil
	case mechanism.Cylinder, mechanism.Cone, mechanism.Sphere, mechanism.Revolution:
		return turnedField(p)
	case mechanism.Groove, mechanism.Stroke, mechanism.Text:
		sheets, err := sheetsOf(p)
		if err != nil {
			return nil, err
		}
		return sheetsField(sheets)
	case mechanism.Thread:
		return threadField(p)
	case mechanism.MeshFile:
		return nil, fmt.Errorf("%s: a mesh file has no drawing to check it against", p.Name)
	}
	return nil, fmt.Errorf("unknown primitive %T", p)
}

func blockField(b mechanism.Block) (field.Field, error) {
	e, err := blockEdges(b)
	if err != nil {
		return nil, err
	}
	switch {
	case b.Edge.Round > 0:
		return field.RoundedBlock(b.Lo, b.Hi, b.Edge.Round, e), nil
	case b.Edge.Chamfer > 0:
		return field.ChamferedBlock(b.Lo, b.Hi, b.Edge.Chamfer, e), nil
	}
	return field.Block(b.Lo, b.Hi), nil
}

func turnedField(p mechanism.Primitive) (field.Field, error) {
	l, err := revolved(p)
	if err != nil {
		return nil, err
	}
	f := field.Revolved(field.NewOutline(l))
	if r, ok := p.(mechanism.Revolution); ok && r.Angle < wholeAngle {
		return field.Common(f, field.Sector(r.Angle)), nil
	}
	return f, nil
}

func sheetsField(sheets []*sheet) (field.Field, error) {
	var tracks []field.Field
	for _, h := range sheets {
		if h.flatEnds && !h.closed && len(h.path) > 2 {
			for _, i := range [2]int{0, len(h.path) - 2} {
				du, dv := h.run(i)
				if h.round {
					du *= h.inner
				}
				if math.Hypot(du, dv) < h.width/2 {
					return nil, fmt.Errorf("no field: run %d of the path is shorter than half the width", i+1)
				}
			}
		}
		tracks = append(tracks, field.Track{
			Round: h.round, R: h.inner, Path: h.path, Width: h.width, Closed: h.closed,
			FlatEnds: h.flatEnds, Roof: h.roof, RoofAt: h.roofAt,
		}.Field())
	}
	h := sheets[0]
	if h.round {
		return field.Common(field.Union(tracks...), field.Shell(h.inner, h.outer)), nil
	}
	return field.Common(field.Union(tracks...), field.Slab(h.inner, h.outer)), nil
}

func threadField(p mechanism.Thread) (field.Field, error) {
	if _, err := threadRidge(p); err != nil {
		return nil, err
	}
	r0, w0, r1, w1 := p.Root, p.RootWidth, p.Crest, p.CrestWidth
	if r0 > r1 {
		r0, w0, r1, w1 = r1, w1, r0, w0
	}
	return field.Common(field.Helix(r0, r1, w0, w1, p.Lead, p.Starts), field.Slab(0, p.H)), nil
}
