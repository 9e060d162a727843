package forces

import (
	"fmt"
	"math"
)

// Interval holds every value from Lo to Hi. Lo never exceeds Hi; the ends may be
// infinite.
type Interval struct{ Lo, Hi float64 }

// Exact is the interval of one value.
func Exact(v float64) Interval { return Interval{v, v} }

// Hull is the smallest interval that holds all values; of none it is Exact(0).
func Hull(v ...float64) Interval {
	if len(v) == 0 {
		return Interval{}
	}
	i := Exact(v[0])
	for _, x := range v[1:] {
		i.Lo, i.Hi = min(i.Lo, x), max(i.Hi, x)
	}
	return i
}

// About is the interval from v - r to v + r; r is not negative.
func About(v, r float64) Interval { return Interval{v - r, v + r} }

// Has tells whether v lies in the interval.
func (i Interval) Has(v float64) bool { return i.Lo <= v && v <= i.Hi }

// Mid is the middle; of a half-open interval it is the finite end.
func (i Interval) Mid() float64 {
	switch {
	case math.IsInf(i.Lo, 0) && math.IsInf(i.Hi, 0):
		return 0
	case math.IsInf(i.Lo, 0):
		return i.Hi
	case math.IsInf(i.Hi, 0):
		return i.Lo
	}
	return i.Lo + (i.Hi-i.Lo)/2
}

// Width is Hi - Lo.
func (i Interval) Width() float64 { return i.Hi - i.Lo }

// Union is the smallest interval that holds both.
func (i Interval) Union(j Interval) Interval {
	return Interval{min(i.Lo, j.Lo), max(i.Hi, j.Hi)}
}

// Add is the interval of sums.
func (i Interval) Add(j Interval) Interval { return Interval{i.Lo + j.Lo, i.Hi + j.Hi} }

// Sub is the interval of differences of independent values.
func (i Interval) Sub(j Interval) Interval { return Interval{i.Lo - j.Hi, i.Hi - j.Lo} }

// Scale multiplies by k.
func (i Interval) Scale(k float64) Interval { return Hull(k*i.Lo, k*i.Hi) }

// Neg is the interval of the negated values.
func (i Interval) Neg() Interval { return Interval{-i.Hi, -i.Lo} }

// Mul is the interval of products of independent values; 0 times an infinite
// end is 0.
func (i Interval) Mul(j Interval) Interval {
	return Hull(times(i.Lo, j.Lo), times(i.Lo, j.Hi), times(i.Hi, j.Lo), times(i.Hi, j.Hi))
}

func times(a, b float64) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	return a * b
}

// Div is the interval of quotients; where j holds 0 it is the whole line.
func (i Interval) Div(j Interval) Interval {
	if j.Has(0) {
		return Interval{math.Inf(-1), math.Inf(1)}
	}
	return i.Mul(Interval{1 / j.Hi, 1 / j.Lo})
}

// Map is f of the interval for an f that is monotonic on it.
func (i Interval) Map(f func(float64) float64) Interval { return Hull(f(i.Lo), f(i.Hi)) }

// Positive cuts off what lies below 0.
func (i Interval) Positive() Interval { return Interval{max(0, i.Lo), max(0, i.Hi)} }

// Exceeds answers whether a value of i is larger than one of j.
func (i Interval) Exceeds(j Interval) Answer {
	switch {
	case i.Lo > j.Hi:
		return Yes
	case i.Hi <= j.Lo:
		return No
	default:
		return Maybe
	}
}

func (i Interval) String() string {
	if i.Lo == i.Hi {
		return fmt.Sprintf("%.4g", i.Lo)
	}
	return fmt.Sprintf("%.4g to %.4g", i.Lo, i.Hi)
}

// Answer is yes, no, or not to be told from what is known.
type Answer uint8

// The answers, in rising order.
const (
	No Answer = iota
	Maybe
	Yes
)

func (a Answer) String() string { return [...]string{"no", "maybe", "yes"}[a] }

// Gravity is the standard acceleration of free fall, m/s2 (3rd General
// Conference on Weights and Measures, 1901).
const Gravity = 9.80665

// Mu0 is the magnetic constant, T m/A; the value of 4 pi 1e-7 differs from that
// of CODATA 2018 by 1.3e-10 of itself.
const Mu0 = 4 * math.Pi * 1e-7
