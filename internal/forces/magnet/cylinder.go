package magnet

import (
	"fmt"
	"math"
	"strings"

	"feint/internal/forces"
)

// Cylinder is a magnet: diameter and length in mm, magnetised along its length.
type Cylinder struct {
	D, L float64
	Br   forces.Interval // remanence, T
}

// radius is half the diameter.
func (c *Cylinder) radius() float64 { return c.D / 2 }

// Moment is the magnetic moment for the remanence br, A m2.
func (c *Cylinder) Moment(br float64) float64 {
	return br / forces.Mu0 * math.Pi / 4 * c.D * c.D * c.L * 1e-9
}

// Grade is a trade name of sintered neodymium magnets.
type Grade struct {
	Name string
	Br   forces.Interval // at 20 C, T; makers' tables
	Warm forces.Interval // highest temperature of use of the plain grade, C
}

// TemperatureCoefficient is the change of remanence, of itself for each K, -0.12 %
// (makers' tables).
const TemperatureCoefficient = -0.0012

// Grades lists the grades known, weakest first; the source is makers' tables.
func Grades() []Grade {
	warm := forces.Interval{Lo: 70, Hi: 80}
	return []Grade{
		{"N35", forces.Interval{Lo: 1.17, Hi: 1.22}, warm},
		{"N42", forces.Interval{Lo: 1.28, Hi: 1.32}, warm},
		{"N45", forces.Interval{Lo: 1.32, Hi: 1.38}, warm},
		{"N52", forces.Interval{Lo: 1.42, Hi: 1.48}, warm},
	}
}

// GradeOf finds a grade by its name, in large or small letters.
func GradeOf(name string) (Grade, error) {
	var known []string
	for _, g := range Grades() {
		if strings.EqualFold(g.Name, name) {
			return g, nil
		}
		known = append(known, g.Name)
	}
	return Grade{}, fmt.Errorf("no magnet grade %q is known; give one of %s, or the remanence in tesla", name, strings.Join(known, ", "))
}

// At is the remanence at a temperature, C. What is lost for good above Warm is not
// in it.
func (g Grade) At(temperature forces.Interval) forces.Interval {
	k := forces.Exact(1).Add(temperature.Sub(forces.Exact(20)).Scale(TemperatureCoefficient))
	return g.Br.Mul(k)
}

// Permeability is the recoil permeability of sintered neodymium (makers' tables give
// 1.03 to 1.1, most 1.05).
const Permeability = 1.05

// Recoil is the factor by which recoil permeability lessens the forces of the rigid
// model. A body of demagnetising factor N has 1/(1 + N (mu - 1)) of its magnetisation
// left, N at most 1, and a force has two such factors: not below 1/mu2. Finite
// elements with mu = 1.05 lie within (testdata/reference/forces).
func Recoil() forces.Interval { return forces.Interval{Lo: 1 / (Permeability * Permeability), Hi: 1} }
