package solid

import (
	"fmt"
	"math"

	"feint/internal/field"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

func extrusionOutline(e mechanism.Extrusion) ([][]field.Corner, error) {
	if err := positive("h", e.H); err != nil {
		return nil, err
	}
	if !finite(e.Chamfer) || e.Chamfer < 0 || 2*e.Chamfer > e.H {
		return nil, fmt.Errorf("a chamfer of %g mm on an extrusion of %g mm: give 0 to half the height", e.Chamfer, e.H)
	}
	return outline(e.Profile)
}

func facetExtrusion(e mechanism.Extrusion, tol float64) (*mesh.Mesh, error) {
	l, err := extrusionOutline(e)
	if err != nil {
		return nil, err
	}
	ls, err := loops(l, tol, false)
	if err != nil {
		return nil, err
	}
	var rings [][][]geom.Vec
	for i, loop := range ls {
		full, small := loop, loop
		if i == 0 && e.Chamfer > 0 {
			full, small = insetLoop(loop, e.Chamfer, tol)
			if err := insetOK(full, small, ls[1:]); err != nil {
				return nil, fmt.Errorf("a chamfer of %g mm: %w", e.Chamfer, err)
			}
		}
		levels := [][]geom.Vec{raise(small, 0), raise(small, e.H)}
		if e.Chamfer > 0 {
			levels = [][]geom.Vec{raise(small, 0), raise(full, e.Chamfer), raise(full, e.H-e.Chamfer), raise(small, e.H)}
			if 2*e.Chamfer == e.H {
				levels = [][]geom.Vec{levels[0], levels[1], levels[3]}
			}
		}
		rings = append(rings, levels)
	}
	return stack(rings), nil
}

// insetLoop moves the sides of a counter-clockwise loop inwards by d. What lies
// nearer than d to the loop goes, so that the material round a corner that points
// inwards keeps an arc; there the first loop repeats the corner. Both loops have
// equally many points.
func insetLoop(l []point, d, tol float64) (full, small []point) {
	n := len(l)
	for i, p := range l {
		a, b := l[(i+n-1)%n], l[(i+1)%n]
		u, v := p.sub(a), b.sub(p)
		u, v = u.scale(1/u.length()), v.scale(1/v.length())
		nu, nv := point{-u.y, u.x}, point{-v.y, v.x}
		w := corner(a, p, b)
		// the mitre stands d w^2/8 off the arc
		if w >= 0 || d*w*w/8 < tol/4 {
			full = append(full, p)
			small = append(small, p.add(nu.add(nv).scale(d/(1+dot2(nu, nv)))))
			continue
		}
		k := pieces(d, w, tol)
		from := math.Atan2(nu.y, nu.x)
		for j := range k + 1 {
			r := d
			if j > 0 && j < k {
				r = innerRadius(d, -w, k)
			}
			full = append(full, p)
			small = append(small, p.add(polar(r, from+w*float64(j)/float64(k))))
		}
	}
	return full, small
}

// insetOK tells whether no side has been used up by moving it inwards.
func insetOK(full, small []point, holes [][]point) error {
	var ring []point
	for i, p := range small {
		j := (i + 1) % len(small)
		if dot2(small[j].sub(p), full[j].sub(full[i])) < -tiny {
			return fmt.Errorf("the side near (%.4g, %.4g) is too short or its round too small for it: make the chamfer smaller", full[i].x, full[i].y)
		}
		if !same(p, small[j], tiny) {
			ring = append(ring, p)
		}
	}
	if len(ring) < 3 || area(ring) <= 0 || simple(append([][]point{ring}, holes...)) != nil {
		return fmt.Errorf("nothing is left of the end: make the chamfer smaller")
	}
	return nil
}
