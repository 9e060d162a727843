package meshfile

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// affine is a transform of 3MF: rows 0 to 2 the images of the axes, row 3 the
// shift. Points are rows and stand on the left: p' = p M (core specification,
// section 3.3).
type affine [4]vec

func identityAffine() affine { return affine{{X: 1}, {Y: 1}, {Z: 1}, {}} }

func (m *affine) apply(p vec) vec {
	return vec{
		X: p.X*m[0].X + p.Y*m[1].X + p.Z*m[2].X + m[3].X,
		Y: p.X*m[0].Y + p.Y*m[1].Y + p.Z*m[2].Y + m[3].Y,
		Z: p.X*m[0].Z + p.Y*m[1].Z + p.Z*m[2].Z + m[3].Z,
	}
}

// then is "m, then n".
func (m affine) then(n affine) affine {
	lin := affine{n[0], n[1], n[2]}
	return affine{lin.apply(m[0]), lin.apply(m[1]), lin.apply(m[2]), n.apply(m[3])}
}

// scaled is m followed by a scaling of all space.
func (m affine) scaled(f float64) affine {
	for i := range m {
		m[i] = r3.Scale(f, m[i])
	}
	return m
}

func (m *affine) det() float64 { return r3.Dot(m[0], r3.Cross(m[1], m[2])) }

// flatness is the smallest volume of the images of the axes, taken at unit
// length, that still counts as a solid: below it rounding of the twelve numbers
// (float32 in many programs, 6e-8) decides which side is out.
const flatness = 1e-6

// parseAffine reads the twelve numbers of a transform attribute.
func parseAffine(s string) (affine, error) {
	f := strings.Fields(s)
	if len(f) != 12 {
		return affine{}, fmt.Errorf("transform %s has %d numbers, expected 12", quoteWord(s), len(f))
	}
	var m affine
	for i := range m {
		for k, into := range [3]*float64{&m[i].X, &m[i].Y, &m[i].Z} {
			v, err := decimal(f[3*i+k])
			if err != nil {
				return affine{}, fmt.Errorf("transform %s: %w", quoteWord(s), err)
			}
			*into = v
		}
	}
	unit := r3.Norm(m[0]) * r3.Norm(m[1]) * r3.Norm(m[2])
	if d := math.Abs(m.det()); !(d > flatness*unit) || math.IsInf(d, 0) {
		return affine{}, fmt.Errorf("transform %s is singular: it presses the object flat", quoteWord(s))
	}
	return m, nil
}
