package mesh

import (
	"math"
	"math/big"
	"math/bits"
)

// places are points whose predicates are exact: float coordinates of any size,
// or, where all lie on the grid within Reach, integers.
type places struct {
	f [][3]float64
	g [][3]int64 // in grid units; nil where some point is not on the grid
}

func newPlaces(m *Mesh) *places {
	p := &places{f: make([][3]float64, len(m.V)), g: make([][3]int64, len(m.V))}
	for i, v := range m.V {
		p.f[i] = [3]float64{v.X, v.Y, v.Z}
		if p.g == nil {
			continue
		}
		for k, x := range p.f[i] {
			u := x * Units
			if u != math.Trunc(u) || math.Abs(u) > Reach*Units {
				p.g = nil
				break
			}
			p.g[i][k] = int64(u)
		}
	}
	return p
}

// orient3 is the sign of det(b-a, c-a, d-a): 1 where a, b, c turn
// counter-clockwise seen from d's far side, -1 on the other, 0 in one plane.
func (s *places) orient3(a, b, c, d int32) int {
	p, q, r, t := &s.f[a], &s.f[b], &s.f[c], &s.f[d]
	var u, v, w [3]float64
	for k := range 3 {
		u[k], v[k], w[k] = q[k]-p[k], r[k]-p[k], t[k]-p[k]
	}
	sum, size := 0.0, 0.0
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		x, y := u[i]*v[j], u[j]*v[i]
		sum += (x - y) * w[k]
		size += (math.Abs(x) + math.Abs(y)) * math.Abs(w[k])
	}
	// J. R. Shewchuk, Adaptive Precision Floating-Point Arithmetic (1997), 4.3:
	// the error is below (7 + 56 e) e of size, e = 2^-53. The least normal
	// number covers underflow.
	if math.Abs(sum) > size*8*0x1p-53+0x1p-1000 {
		return signOf(sum)
	}
	if size == 0 && sum == 0 && s.g != nil {
		return 0
	}
	if s.g != nil {
		t := [3][3]int64{s.g[a], s.g[b], s.g[c]}
		n, e := normal(&t), s.g[d]
		return dot128(n, [3]int64{e[0] - t[0][0], e[1] - t[0][1], e[2] - t[0][2]}).sign()
	}
	return exactSign(det3, p[:], q[:], r[:], t[:])
}

// orient2 is the sign of the turn a, b, c in the axes i, j.
func (s *places) orient2(a, b, c int32, i, j int) int {
	p, q, r := &s.f[a], &s.f[b], &s.f[c]
	x, y := (q[i]-p[i])*(r[j]-p[j]), (q[j]-p[j])*(r[i]-p[i])
	// Shewchuk (1997), 4.2: (3 + 16 e) e, e = 2^-53.
	if d := x - y; math.Abs(d) > (math.Abs(x)+math.Abs(y))*4*0x1p-53+0x1p-1000 {
		return signOf(d)
	}
	if s.g != nil {
		p, q, r := &s.g[a], &s.g[b], &s.g[c]
		return signInt((q[i]-p[i])*(r[j]-p[j]) - (q[j]-p[j])*(r[i]-p[i]))
	}
	return exactSign(det2,
		[]float64{p[i], p[j]}, []float64{q[i], q[j]}, []float64{r[i], r[j]})
}

// exactSign scales the coordinates to integers of one unit and hands the
// differences to the first point, row by row, to det. Coordinates too far
// apart in size for num go through math/big.
func exactSign(det func(z *[9]num) int, first []float64, rest ...[]float64) int {
	low, high := math.MaxInt, math.MinInt
	for _, p := range append([][]float64{first}, rest...) {
		for _, x := range p {
			if x != 0 {
				m, e := mantissa(x)
				low = min(low, e)
				high = max(high, e+bits.Len64(uint64(max(m, -m))))
			}
		}
	}
	if low > high {
		return 0
	}
	n := len(first)
	// differences have high-low+1 bits; a product is laid out in as many limbs as its n
	// factors have together, and a few terms take no further one: a factor that fills its
	// limbs leaves room, since limbs is no multiple of n
	if words := (high - low + 64) / 64; n*words >= limbs {
		return bigSign(first, rest)
	}
	var z [9]num
	var a, b num
	for r, p := range rest {
		for k := range n {
			a.scaled(p[k], low)
			b.scaled(first[k], low)
			z[r*n+k].sub(&a, &b)
		}
	}
	return det(&z)
}

// mantissa gives x = m 2^e with odd m.
func mantissa(x float64) (int64, int) {
	f, e := math.Frexp(x)
	m := int64(f * (1 << 53))
	s := bits.TrailingZeros64(uint64(m))
	return m >> s, e - 53 + s
}

func (z *num) scaled(x float64, unit int) {
	if x == 0 {
		z.n, z.neg = 0, false
		return
	}
	m, e := mantissa(x)
	z.setInt(m)
	z.shift(e - unit)
}

func det2(z *[9]num) int {
	var l, r num
	l.mul(&z[0], &z[3])
	r.mul(&z[1], &z[2])
	l.sub(&l, &r)
	return l.sign()
}

func det3(z *[9]num) int {
	var sum, l, r, t num
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		l.mul(&z[i], &z[3+j])
		r.mul(&z[j], &z[3+i])
		l.sub(&l, &r)
		t.mul(&l, &z[6+k])
		sum.add(&sum, &t)
	}
	return sum.sign()
}

// bigSign is the slow way of exactSign, for coordinates of any finite size.
func bigSign(first []float64, rest [][]float64) int {
	n := len(first)
	z := make([]*big.Rat, 0, n*n)
	for _, p := range rest {
		for k := range n {
			a, b := new(big.Rat).SetFloat64(p[k]), new(big.Rat).SetFloat64(first[k])
			z = append(z, a.Sub(a, b))
		}
	}
	cross := func(a, b, c, d *big.Rat) *big.Rat { // ad - bc
		x, y := new(big.Rat).Mul(a, d), new(big.Rat).Mul(b, c)
		return x.Sub(x, y)
	}
	if n == 2 {
		return cross(z[0], z[1], z[2], z[3]).Sign()
	}
	sum := new(big.Rat)
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		c := cross(z[i], z[j], z[3+i], z[3+j])
		sum.Add(sum, c.Mul(c, z[6+k]))
	}
	return sum.Sign()
}
