package printed

import (
	"fmt"
	"math"
)

// isoTable are standard tolerances of ISO 286-1, micrometres: grades IT6 to IT12
// for sizes above 10 to 18, 18 to 30 and 30 to 50 mm. Other sizes and grades go by
// the formula of the standard.
func isoTable() (sizes []float64, grades [][7]float64) {
	return []float64{10, 18, 30, 50}, [][7]float64{
		{11, 18, 27, 43, 70, 110, 180},
		{13, 21, 33, 52, 84, 130, 210},
		{16, 25, 39, 62, 100, 160, 250},
	}
}

// The grades that Tolerance knows.
const (
	leastGrade = 6
	mostGrade  = 18
)

// Tolerance is the standard tolerance of a grade at a size, mm, by ISO 286-1: from
// its table where that is at hand, else 10 i, 16 i, 25 i ... of the unit
// i = 0.45 D^(1/3) + 0.001 D micrometres, with D the size itself instead of the
// middle of its step. Sizes 1 to 500 mm.
func Tolerance(grade int, size float64) (float64, error) {
	if grade < leastGrade || grade > mostGrade || !(size >= 1 && size <= 500) {
		return 0, fmt.Errorf("no standard tolerance IT%d at %g mm; grades go from %d to %d, sizes from 1 to 500 mm", grade, size, leastGrade, mostGrade)
	}
	sizes, table := isoTable()
	for k, row := range table {
		if size > sizes[k] && size <= sizes[k+1] && grade-leastGrade < len(row) {
			return row[grade-leastGrade] / 1000, nil
		}
	}
	return isoFormula(grade, size), nil
}

// isoFormula is the tolerance by the formula: grades IT6 on are 10, 16, 25, 40,
// 64 i and ten times that every five grades.
func isoFormula(grade int, size float64) float64 {
	i := 0.45*math.Cbrt(size) + 0.001*size
	n := grade - leastGrade
	return [...]float64{10, 16, 25, 40, 64}[n%5] * math.Pow(10, float64(n/5)) * i / 1000
}

// Grade is the finest grade whose tolerance holds a length of that size 997 times
// of 1000 (three standard deviations either way) once its mean is allowed for:
// two walls, and the shrink of the length. ok is false if none does.
func (m *Model) Grade(size float64, material string) (grade int, ok bool) {
	a, s := m.Amounts[InPlane], m.ShrinkOf(material)
	sd := math.Sqrt(4*a.Prints*a.Prints + 2*a.Features*a.Features + size*size*(s.Prints*s.Prints+s.Features*s.Features))
	for g := leastGrade; g <= mostGrade; g++ {
		if t, err := Tolerance(g, size); err == nil && t >= 6*sd {
			return g, true
		}
	}
	return 0, false
}
