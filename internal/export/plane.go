package export

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// ReadPlate reads a plate as it is written: WxD or WxDxH, mm.
func ReadPlate(t string) (Plate, error) {
	n, ok := numbers(strings.Split(strings.ToLower(t), "x"))
	if !ok || (len(n) != 2 && len(n) != 3) || n[0] <= 0 || n[1] <= 0 || n[len(n)-1] <= 0 {
		return Plate{}, fmt.Errorf("%q: write width x depth x height in mm, such as 220x220x250", t)
	}
	p := Plate{Width: n[0], Depth: n[1]}
	if len(n) == 3 {
		p.Height = n[2]
	}
	return p, nil
}

// ReadPlane reads a plane as it is written: x=0, or a,b,c,d for the points with
// ax + by + cz = d, mm. What lies on the side of the normal, or of the axis, goes.
func ReadPlane(t string) (*geom.Line, error) {
	bad := fmt.Errorf("%q: write x=0, y=0 or z=12.5, or four numbers a,b,c,d of the plane ax + by + cz = d in mm", t)
	if axis, at, ok := strings.Cut(t, "="); ok {
		d, err := strconv.ParseFloat(strings.TrimSpace(at), 64)
		dirs := map[string]geom.Vec{"x": {X: 1}, "y": {Y: 1}, "z": {Z: 1}}
		dir, known := dirs[strings.ToLower(strings.TrimSpace(axis))]
		if err != nil || !known || math.IsNaN(d) || math.IsInf(d, 0) {
			return nil, bad
		}
		return &geom.Line{Point: r3.Scale(d, dir), Dir: dir}, nil
	}
	n, ok := numbers(strings.Split(t, ","))
	if !ok || len(n) != 4 {
		return nil, bad
	}
	v := geom.Vec{X: n[0], Y: n[1], Z: n[2]}
	l := r3.Norm(v)
	if l == 0 {
		return nil, bad
	}
	return &geom.Line{Point: r3.Scale(n[3]/(l*l), v), Dir: r3.Scale(1/l, v)}, nil
}

func numbers(ts []string) ([]float64, bool) {
	out := make([]float64, len(ts))
	for i, t := range ts {
		v, err := strconv.ParseFloat(strings.TrimSpace(t), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, false
		}
		out[i] = v
	}
	return out, true
}
