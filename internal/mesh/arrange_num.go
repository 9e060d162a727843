package mesh

import (
	"math"
	"math/bits"
)

// i128 is a signed 128-bit integer, two's complement.
type i128 struct {
	hi int64
	lo uint64
}

// mul64 is a*b without loss.
func mul64(a, b int64) i128 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	h := int64(hi) - (a>>63)&b - (b>>63)&a
	return i128{h, lo}
}

func (a i128) add(b i128) i128 {
	lo, c := bits.Add64(a.lo, b.lo, 0)
	return i128{a.hi + b.hi + int64(c), lo}
}

func (a i128) sub(b i128) i128 {
	lo, c := bits.Sub64(a.lo, b.lo, 0)
	return i128{a.hi - b.hi - int64(c), lo}
}

func (a i128) negated() i128 { return i128{}.sub(a) }

func (a i128) sign() int {
	switch {
	case a.hi < 0:
		return -1
	case a.hi == 0 && a.lo == 0:
		return 0
	}
	return 1
}

// float is a within a relative error of 2^-52.
// A negative number is negated first: its two halves would cancel.
func (a i128) float() float64 {
	if a.hi < 0 {
		return -i128{}.sub(a).float()
	}
	return float64(a.hi)*0x1p64 + float64(a.lo)
}

// dot128 is the scalar product. The components of a reach 2^61 and those of b
// 2^61 too (normals), so the sum stays below 2^124.
func dot128(a, b [3]int64) i128 {
	return mul64(a[0], b[0]).add(mul64(a[1], b[1])).add(mul64(a[2], b[2]))
}

// limbs is the capacity of num. The largest number formed is the orientation
// of three points that are each the meet of three planes: coordinates of
// 2^29 units give normals of 2^61, weights of 2^186, numerators of 2^217, and
// a determinant of less than 2^(217+217+186+3) = 2^623.
const limbs = 10

// num is a signed integer of fixed capacity that lives on the stack: sign and
// magnitude, least limb first. Only the limbs below n are meaningful.
type num struct {
	w   [limbs]uint64
	n   int
	neg bool
}

func (z *num) setInt(v int64) {
	z.neg = v < 0
	u := uint64(v)
	if z.neg {
		u = -u
	}
	z.w[0], z.n = u, 1
	z.trim()
}

func (z *num) set128(v i128) {
	z.neg = v.hi < 0
	if z.neg {
		v = v.negated()
	}
	z.w[0], z.w[1], z.n = v.lo, uint64(v.hi), 2
	z.trim()
}

func (z *num) trim() {
	for z.n > 0 && z.w[z.n-1] == 0 {
		z.n--
	}
	if z.n == 0 {
		z.neg = false
	}
}

func (z *num) sign() int {
	switch {
	case z.n == 0:
		return 0
	case z.neg:
		return -1
	}
	return 1
}

// mul sets z to a*b; z must be neither of them.
func (z *num) mul(a, b *num) {
	z.n = a.n + b.n
	if z.n > limbs {
		panic("mesh: integer beyond its derived bound")
	}
	for i := range z.n {
		z.w[i] = 0
	}
	for i := range a.n {
		var carry uint64
		x := a.w[i]
		for j := range b.n {
			hi, lo := bits.Mul64(x, b.w[j])
			var c uint64
			lo, c = bits.Add64(lo, carry, 0)
			hi += c
			lo, c = bits.Add64(lo, z.w[i+j], 0)
			hi += c
			z.w[i+j] = lo
			carry = hi
		}
		z.w[i+b.n] = carry
	}
	z.neg = a.neg != b.neg
	z.trim()
}

// add sets z to a+b; it may be either of them.
func (z *num) add(a, b *num) { z.sum(a, b, b.neg) }

// sub sets z to a-b; it may be either of them.
func (z *num) sub(a, b *num) { z.sum(a, b, !b.neg) }

func (z *num) sum(a, b *num, bneg bool) {
	if a.neg == bneg {
		z.addMagnitude(a, b)
		z.neg = bneg
		z.trim()
		return
	}
	neg := a.neg
	if a.less(b) {
		a, b, neg = b, a, bneg
	}
	var c uint64
	n := a.n
	for i := range n {
		var y uint64
		if i < b.n {
			y = b.w[i]
		}
		z.w[i], c = bits.Sub64(a.w[i], y, c)
	}
	z.n, z.neg = n, neg
	z.trim()
}

func (z *num) addMagnitude(a, b *num) {
	if a.n < b.n {
		a, b = b, a
	}
	var c uint64
	n := a.n
	for i := range n {
		var y uint64
		if i < b.n {
			y = b.w[i]
		}
		z.w[i], c = bits.Add64(a.w[i], y, c)
	}
	if c != 0 {
		if n == limbs {
			panic("mesh: integer beyond its derived bound")
		}
		z.w[n] = c
		n++
	}
	z.n = n
}

// less compares magnitudes.
func (z *num) less(b *num) bool {
	if z.n != b.n {
		return z.n < b.n
	}
	for i := z.n - 1; i >= 0; i-- {
		if z.w[i] != b.w[i] {
			return z.w[i] < b.w[i]
		}
	}
	return false
}

// shift multiplies z by 2^s.
func (z *num) shift(s int) {
	words, rest := s/64, uint(s%64)
	if z.n == 0 {
		return
	}
	if z.n+words+1 > limbs {
		panic("mesh: integer beyond its derived bound")
	}
	z.w[z.n+words] = 0
	for i := z.n - 1; i >= 0; i-- {
		hi, lo := z.w[i]>>(64-rest), z.w[i]<<rest
		z.w[i+words+1] |= hi
		z.w[i+words] = lo
	}
	for i := range words {
		z.w[i] = 0
	}
	z.n += words + 1
	z.trim()
}

// float gives m and e with z = m * 2^e within a relative error of 2^-52.
func (z *num) float() (float64, int) {
	if z.n == 0 {
		return 0, 0
	}
	top := z.w[z.n-1]
	e := 64 * (z.n - 1)
	if s := bits.LeadingZeros64(top); s > 0 && z.n > 1 {
		top = top<<s | z.w[z.n-2]>>(64-s)
		e -= s
	}
	m := float64(top)
	if z.neg {
		m = -m
	}
	return m, e
}

// quotient is a/b within a relative error of 2^-50.
func quotient(a, b *num) float64 {
	x, ex := a.float()
	y, ey := b.float()
	return math.Ldexp(x/y, ex-ey)
}
