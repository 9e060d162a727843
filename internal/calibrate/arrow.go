package calibrate

import "math"

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

// local is a value for every unknown, and last for the print of a reading.
type local [unknowns + 1]float64

// arrow is a symmetric matrix over the unknowns and the prints.
type arrow struct {
	all  matrix
	side []vector  // by print: with the unknowns
	own  []float64 // by print: with itself
}

func newArrow(prints int) *arrow {
	return &arrow{side: make([]vector, prints), own: make([]float64, prints)}
}

// cross is d m e for two directions that touch one print, of which cols lists the
// unknowns that are not 0 in either.
func (m *arrow) cross(print int, d, e *local, cols []int) float64 {
	v, side := d[unknowns]*e[unknowns]*m.own[print], &m.side[print]
	for _, a := range cols {
		row := 0.0
		for _, b := range cols {
			row += m.all[a][b] * e[b]
		}
		v += d[a]*row + side[a]*(d[a]*e[unknowns]+e[a]*d[unknowns])
	}
	return v
}

// solved is an arrow made ready to be solved.
type solved struct {
	m      *arrow
	active []int
	schur  matrix // inverse of the Schur complement
	log    float64
}

// solve inverts the Schur complement of the prints, of which active lists the unknowns
// that any print touches; false if the matrix is not positive definite.
func (m *arrow) solve(active []int) (*solved, bool) {
	rest, s, det := m.all, &solved{m: m, active: active}, product{by: 1}
	for p, d := range m.own {
		if !(d > 0) {
			return nil, false
		}
		det.times(d)
		side := &m.side[p]
		for i, a := range active {
			x := side[a] / d
			for _, b := range active[:i+1] {
				rest[a][b] -= x * side[b]
			}
		}
	}
	if !s.schur.invert(&rest, &det) {
		return nil, false
	}
	s.log = det.log()
	return s, true
}

// invert makes m the inverse of a symmetric matrix, of which it reads the lower half, by
// its Cholesky factors (G. Golub, C. Van Loan, "Matrix Computations", 4th ed. 2013,
// section 4.2); false if it is not positive definite.
func (m *matrix) invert(of *matrix, det *product) bool {
	var l, low matrix // the factor and its inverse
	for a := range unknowns {
		for b := range a + 1 {
			v := of[a][b]
			for k := range b {
				v -= l[a][k] * l[b][k]
			}
			switch {
			case a != b:
				l[a][b] = v / l[b][b]
			case !(v > 0):
				return false
			default:
				det.times(v)
				l[a][a] = math.Sqrt(v)
			}
		}
	}
	for b := range unknowns {
		low[b][b] = 1 / l[b][b]
		for a := b + 1; a < unknowns; a++ {
			v := 0.0
			for k := b; k < a; k++ {
				v -= l[a][k] * low[k][b]
			}
			low[a][b] = v / l[a][a]
		}
	}
	for a := range unknowns {
		for b := range a + 1 {
			v := 0.0
			for k := a; k < unknowns; k++ {
				v += low[k][a] * low[k][b]
			}
			m[a][b], m[b][a] = v, v
		}
	}
	return true
}

// product is one of many numbers above 0, of which the logarithm is asked: that of each
// would cost more than all else that is done with it.
type product struct{ by, logs float64 }

func (p *product) times(x float64) {
	p.by *= x
	if p.by > 1e140 || p.by < 1e-140 {
		p.logs, p.by = p.logs+math.Log(p.by), 1
	}
}

func (p *product) log() float64 { return p.logs + math.Log(p.by) }

// times is the solution for a right side g, unknowns first and then prints.
func (s *solved) times(g []float64) []float64 {
	out, right := make([]float64, len(g)), vector(g[:unknowns])
	for p, d := range s.m.own {
		x, side := g[unknowns+p]/d, &s.m.side[p]
		for _, a := range s.active {
			right[a] -= side[a] * x
		}
	}
	for a := range unknowns {
		out[a] = inner(s.schur[a][:], right[:])
	}
	for p, d := range s.m.own {
		x, side := g[unknowns+p], &s.m.side[p]
		for _, a := range s.active {
			x -= side[a] * out[a]
		}
		out[unknowns+p] = x / d
	}
	return out
}

// inverse is the inverse where a reading can ask for it; between two prints it is
// left out.
func (s *solved) inverse() *arrow {
	o := newArrow(len(s.m.own))
	o.all = s.schur
	for p, d := range s.m.own {
		side, out := &s.m.side[p], &o.side[p]
		own := 1.0
		for _, a := range s.active { // no other joins them to a print
			x := 0.0
			for _, b := range s.active {
				x -= s.schur[a][b] * side[b]
			}
			out[a] = x / d
			own -= out[a] * side[a]
		}
		o.own[p] = own / d
	}
	return o
}
