package forces

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Law (R. E. Moore, Interval Analysis, 1966): the interval of an operation holds the
// operation of any values within.
func TestInclusion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(what string) (Interval, float64) {
			i := Hull(rapid.Float64Range(-9, 9).Draw(t, what+" one end"), rapid.Float64Range(-9, 9).Draw(t, what+" other end"))
			// the sum may round to beyond the end
			return i, min(i.Hi, i.Lo+i.Width()*rapid.Float64Range(0, 1).Draw(t, what))
		}
		a, x := draw("a")
		b, y := draw("b")
		in := func(i Interval, v float64) {
			const rounding = 1e-9
			if v < i.Lo-rounding*max(1, math.Abs(v)) || v > i.Hi+rounding*max(1, math.Abs(v)) {
				t.Fatalf("%v %v, %g %g: %g outside of %v", a, b, x, y, v, i)
			}
		}
		in(a.Add(b), x+y)
		in(a.Sub(b), x-y)
		in(a.Mul(b), x*y)
		in(a.Scale(-3), -3*x)
		in(a.Neg(), -x)
		in(a.Union(b), y)
		in(a.Positive(), max(0, x))
		in(a.Map(math.Exp), math.Exp(x))
		if y != 0 {
			in(a.Div(b), x/y)
		}
		switch a.Exceeds(b) {
		case Yes:
			if x <= y {
				t.Fatalf("%v surely exceeds %v, but %g <= %g", a, b, x, y)
			}
		case No:
			if x > y {
				t.Fatalf("%v surely does not exceed %v, but %g > %g", a, b, x, y)
			}
		case Maybe:
		}
	})
}

// Half-open intervals and their words.
func TestEnds(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		i    Interval
		want float64
	}{{Interval{-inf, inf}, 0}, {Interval{-inf, 3}, 3}, {Interval{3, inf}, 3}, {About(2, 1), 2}, {Hull(), 0}} {
		if got := c.i.Mid(); got != c.want {
			t.Errorf("%v: %g", c.i, got)
		}
	}
	if got := Exact(0).Mul(Interval{0, inf}); got != (Interval{}) {
		t.Errorf("0 times an open end: %v", got)
	}
	if s := About(2, 0.5).String() + ", " + Exact(3).String() + ", " + Maybe.String(); s != "1.5 to 2.5, 3, maybe" {
		t.Error(s)
	}
}
