package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A reading depends on the unknowns and on the growth of its own print alone, so
// the curvature of all readings together is an arrow: the unknowns' own block, one
// number a print, and a column that joins each print to the unknowns. Such a matrix
// is solved through its Schur complement in time that grows as the prints do (A.
// Gelman, J. Hill, "Data Analysis Using Regression and Multilevel Models",
// Cambridge 2007, chapter 12, has the model; G. Golub, C. Van Loan, "Matrix
// Computations", 4th ed. 2013, section 3.4, the algebra).

// vector is a value for every unknown, and matrix a block over them.
type (
	vector = [unknowns]float64
	matrix [unknowns][unknowns]float64
)

// near is what one reading touches: the unknowns, and last its print.
const near = unknowns + 1

type (
	local  [near]float64
	square [near][near]float64
)

// arrow is a symmetric matrix over the unknowns and the prints.
type arrow struct {
	all  matrix
	side []vector  // by print: with the unknowns
	own  []float64 // by print: with itself
}

func newArrow(prints int) *arrow {
	return &arrow{side: make([]vector, prints), own: make([]float64, prints)}
}

// add adds c d d' for a direction that touches one print.
func (m *arrow) add(print int, c float64, d *local) {
	if c == 0 {
		return
	}
	last := c * d[unknowns]
	for a := range unknowns {
		if d[a] == 0 {
			continue
		}
		for b := range unknowns {
			m.all[a][b] += c * d[a] * d[b]
		}
		m.side[print][a] += last * d[a]
	}
	m.own[print] += last * d[unknowns]
}

// at is the block that a reading of a print touches.
func (m *arrow) at(print int) square {
	var s square
	for a := range unknowns {
		copy(s[a][:], m.all[a][:])
		s[a][unknowns], s[unknowns][a] = m.side[print][a], m.side[print][a]
	}
	s[unknowns][unknowns] = m.own[print]
	return s
}

// solved is an arrow made ready to be solved.
type solved struct {
	m     *arrow
	schur matrix // inverse of the Schur complement
	log   float64
}

// solve inverts the Schur complement of the prints; false if the matrix is not
// positive definite.
func (m *arrow) solve() (*solved, bool) {
	rest := m.all
	s := &solved{m: m}
	for p, d := range m.own {
		if !(d > 0) {
			return nil, false
		}
		s.log += math.Log(d)
		for a := range unknowns {
			for b := range unknowns {
				rest[a][b] -= m.side[p][a] * m.side[p][b] / d
			}
		}
	}
	sym := mat.NewSymDense(unknowns, nil)
	for a := range unknowns {
		for b := a; b < unknowns; b++ {
			sym.SetSym(a, b, rest[a][b])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(sym) {
		return nil, false
	}
	var inv mat.SymDense
	if chol.InverseTo(&inv) != nil {
		return nil, false
	}
	s.log += chol.LogDet()
	for a := range unknowns {
		for b := range unknowns {
			s.schur[a][b] = inv.At(a, b)
		}
	}
	return s, true
}

// times is the solution for a right side g, unknowns first and then prints.
func (s *solved) times(g []float64) []float64 {
	out, right := make([]float64, len(g)), vector(g[:unknowns])
	for p, d := range s.m.own {
		for a := range unknowns {
			right[a] -= s.m.side[p][a] * g[unknowns+p] / d
		}
	}
	for a := range unknowns {
		out[a] = inner(&s.schur[a], &right)
	}
	x := vector(out[:unknowns])
	for p, d := range s.m.own {
		out[unknowns+p] = (g[unknowns+p] - inner(&s.m.side[p], &x)) / d
	}
	return out
}

// inverse is the inverse where a reading can ask for it; between two prints it is
// left out.
func (s *solved) inverse() *arrow {
	o := newArrow(len(s.m.own))
	o.all = s.schur
	for p, d := range s.m.own {
		b := &s.m.side[p]
		for a := range unknowns {
			o.side[p][a] = -inner(&s.schur[a], b) / d
		}
		o.own[p] = 1/d - inner(&o.side[p], b)/d
	}
	return o
}

func inner(a, b *vector) float64 {
	v := 0.0
	for k := range a {
		v += a[k] * b[k]
	}
	return v
}

// times is m d.
func (m *square) times(d *local) (out local) {
	for a := range near {
		for b, x := range d {
			out[a] += m[a][b] * x
		}
	}
	return out
}

func (d *local) dot(e *local) float64 {
	v := 0.0
	for k := range d {
		v += d[k] * e[k]
	}
	return v
}
