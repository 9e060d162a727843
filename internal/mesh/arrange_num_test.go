package mesh

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// bigOf is z as math/big has it, which is the outside check of this file.
func bigOf(z *num) *big.Int {
	o := new(big.Int)
	for i := z.n - 1; i >= 0; i-- {
		o.Lsh(o, 64).Or(o, new(big.Int).SetUint64(z.w[i]))
	}
	if z.neg {
		o.Neg(o)
	}
	return o
}

// drawNum draws integers of up to n limbs, many with limbs of all ones or none.
func drawNum(t *rapid.T, n int, name string) num {
	var z num
	z.n = rapid.IntRange(0, n).Draw(t, name+" limbs")
	for i := range z.n {
		z.w[i] = rapid.OneOf(rapid.Uint64(), rapid.SampledFrom([]uint64{0, 1, math.MaxUint64, 1 << 63})).Draw(t, name)
	}
	z.neg = rapid.Bool().Draw(t, name+" sign")
	z.trim()
	return z
}

func TestNumAgainstBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawNum(t, 5, "a"), drawNum(t, 5, "b")
		x, y := bigOf(&a), bigOf(&b)
		var z num
		check := func(op string, want *big.Int) {
			if bigOf(&z).Cmp(want) != 0 || z.sign() != want.Sign() {
				t.Fatalf("%v %s %v: got %v, want %v", x, op, y, bigOf(&z), want)
			}
		}
		z.mul(&a, &b)
		check("*", new(big.Int).Mul(x, y))
		z.add(&a, &b)
		check("+", new(big.Int).Add(x, y))
		z.sub(&a, &b)
		check("-", new(big.Int).Sub(x, y))
		s := rapid.IntRange(0, 200).Draw(t, "shift")
		z = a
		z.shift(s)
		check("<<", new(big.Int).Lsh(x, uint(s)))
		if b.n > 0 {
			want, _ := new(big.Rat).SetFrac(x, y).Float64()
			if got := quotient(&a, &b); math.Abs(got-want) > 0x1p-50*math.Abs(want) {
				t.Fatalf("%v / %v: got %g, want %g", x, y, got, want)
			}
		}
	})
}

func TestInt128AgainstBig(t *testing.T) {
	word := rapid.OneOf(rapid.Int64(), rapid.SampledFrom([]int64{0, 1, -1, math.MaxInt64, math.MinInt64 + 1}))
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, d := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")>>2, word.Draw(t, "d")>>2
		prod := func(a, b int64) *big.Int { return new(big.Int).Mul(big.NewInt(a), big.NewInt(b)) }
		var z num
		p, q := mul64(a, b), mul64(c, d)
		for _, x := range []struct {
			got  i128
			want *big.Int
		}{
			{p, prod(a, b)},
			{q.sub(mul64(d, d)), new(big.Int).Sub(prod(c, d), prod(d, d))},
			{q.add(mul64(c, c)), new(big.Int).Add(prod(c, d), prod(c, c))},
			{p.negated(), new(big.Int).Neg(prod(a, b))},
		} {
			z.set128(x.got)
			want, _ := new(big.Float).SetInt(x.want).Float64()
			if bigOf(&z).Cmp(x.want) != 0 || x.got.sign() != x.want.Sign() || math.Abs(x.got.float()-want) > 0x1p-52*math.Abs(want) {
				t.Fatalf("got %v (%g), want %v", bigOf(&z), x.got.float(), x.want)
			}
		}
	})
}

// TestPredicatesAgainstRationals compares the predicates with math/big on points
// that lie almost or exactly in a plane, on and off the grid, near and far.
func TestPredicatesAgainstRationals(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for n := range 20000 {
		m := &Mesh{}
		scale := math.Ldexp(1, r.IntN(40)-30)
		for range 3 {
			m.V = append(m.V, randomVec(r, scale))
		}
		a, b, c := m.V[0], m.V[1], m.V[2]
		u, v := r.Float64(), r.Float64()
		d := a
		d.X += u*(b.X-a.X) + v*(c.X-a.X)
		d.Y += u*(b.Y-a.Y) + v*(c.Y-a.Y)
		d.Z += u*(b.Z-a.Z) + v*(c.Z-a.Z)
		m.V = append(m.V, d)
		switch n % 4 {
		case 1: // on the grid
			for i := range m.V {
				m.V[i] = fromGrid(toGrid(m.V[i]))
			}
		case 2: // small whole numbers: often exactly flat
			for i := range m.V {
				m.V[i].X, m.V[i].Y, m.V[i].Z = float64(r.IntN(3)), float64(r.IntN(3)), float64(r.IntN(3))
			}
		case 3: // sizes too far apart for fixed-width integers
			m.V[3].X *= 0x1p-400
		}
		p := newPlaces(m)
		var rows [][]float64
		for _, q := range p.f {
			rows = append(rows, q[:])
		}
		if got, want := p.orient3(0, 1, 2, 3), bigSign(rows[0], rows[1:]); got != want {
			t.Fatalf("orient3 %v: got %d, want %d", m.V, got, want)
		}
		two := [][]float64{rows[1][:2], rows[2][:2]}
		if got, want := p.orient2(0, 1, 2, 0, 1), bigSign(rows[0][:2], two); got != want {
			t.Fatalf("orient2 %v: got %d, want %d", m.V, got, want)
		}
	}
}
