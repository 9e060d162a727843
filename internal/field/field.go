package field

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Field is the signed distance bound of a solid at p, mm.
type Field func(p geom.Vec) float64

// Union is the solid that any of fs holds; exact outside where all are.
func Union(fs ...Field) Field {
	return func(p geom.Vec) float64 {
		d := math.Inf(1)
		for _, f := range fs {
			d = min(d, f(p))
		}
		return d
	}
}

// Common is the solid that all of fs hold; exact inside where all are.
func Common(fs ...Field) Field {
	return func(p geom.Vec) float64 {
		d := math.Inf(-1)
		for _, f := range fs {
			d = max(d, f(p))
		}
		return d
	}
}

// Cut is f less all of gs.
func Cut(f Field, gs ...Field) Field {
	return func(p geom.Vec) float64 {
		d := f(p)
		for _, g := range gs {
			d = max(d, -g(p))
		}
		return d
	}
}

// Place is f carried by m.
func Place(f Field, m geom.Motion) Field {
	back := m.Inverse()
	return func(p geom.Vec) float64 { return f(back.Apply(p)) }
}

// Mirror is f reflected in the plane through plane.Point with the unit normal
// plane.Dir.
func Mirror(f Field, plane geom.Line) Field {
	return func(p geom.Vec) float64 {
		h := r3.Dot(r3.Sub(p, plane.Point), plane.Dir)
		return f(r3.Sub(p, r3.Scale(2*h, plane.Dir)))
	}
}

// HalfSpace is the side of a plane from which its unit normal plane.Dir points
// away; exact.
func HalfSpace(plane geom.Line) Field {
	return func(p geom.Vec) float64 { return r3.Dot(r3.Sub(p, plane.Point), plane.Dir) }
}

// Slab is lo <= z <= hi; exact.
func Slab(lo, hi float64) Field {
	return func(p geom.Vec) float64 { return max(lo-p.Z, p.Z-hi) }
}

// Sphere is the ball of radius r about the origin; exact.
func Sphere(r float64) Field {
	return func(p geom.Vec) float64 { return r3.Norm(p) - r }
}

// Shell is the hollow cylinder lo <= rho <= hi about z, without ends; exact.
func Shell(lo, hi float64) Field {
	return func(p geom.Vec) float64 {
		rho := math.Hypot(p.X, p.Y)
		return max(lo-rho, rho-hi)
	}
}

// Sector is the wedge about z from the x axis counter-clockwise through angle,
// 0 < angle < 2 pi; a lower bound near its edge.
func Sector(angle float64) Field {
	s, c := math.Sincos(angle)
	return func(p geom.Vec) float64 {
		from, to := -p.Y, c*p.Y-s*p.X
		if angle <= math.Pi {
			return max(from, to)
		}
		return min(from, to)
	}
}
