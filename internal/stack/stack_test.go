package stack

import (
	"math"
	"strings"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// The textbook stack 40+-.10, -25+-.05, -2+-.03, -10+-.05: 3.00, worst case
// +-0.23, root of the sum of squares +-0.126095 (a worked example seen in a
// stored page on tolerance analysis; its root is sqrt(0.0159)).
func TestTextbookStack(t *testing.T) {
	c, err := Parse("gap", "box: 40 +-0.10 - ring: 25+-0.05 - washer: 2 ±0.03 - cap: 10 +0.05 -0.05")
	if err != nil {
		t.Fatal(err)
	}
	r, err := c.Solve(200_000, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "nominal", r.Nominal, 3, 1e-12)
	near(t, "worst", r.Worst.Hi-3, 0.23, 1e-12)
	near(t, "worst", 3-r.Worst.Lo, 0.23, 1e-12)
	near(t, "root", r.Root.Hi-3, 0.126095, 5e-7)
	near(t, "sd", r.Sd, math.Sqrt(0.0159)/3, 1e-12)
	if r.Shares[0].Name != "box" {
		t.Errorf("%q contributes most, want the box", r.Shares[0].Name)
	}
	near(t, "share", r.Shares[0].Variance, 0.01/0.0159, 1e-12)
	near(t, "worst share", r.Shares[0].Worst, 0.10/0.23, 1e-12)
	// the simulation against the exact sum of normals: standard errors of mean and
	// standard deviation are sd/sqrt n and sd/sqrt 2n; 5 of them
	n := float64(r.Sample.Count)
	near(t, "mean", r.Sample.Mean, 3, 5*r.Sd/math.Sqrt(n))
	near(t, "sampled sd", r.Sample.Sd, r.Sd, 5*r.Sd/math.Sqrt(2*n))
	near(t, "quantile", r.Sample.Middle99.Hi, 3+2.575829*r.Sd, 0.002)
}

// The sum of two equal uniform dimensions is triangular: standard deviation
// t sqrt(2/3), and 1/8 of the sums lie beyond half the worst case a side (closed
// form).
func TestUniforms(t *testing.T) {
	c, err := Parse("two", "5 +-0.2 uniform + 7 +-0.2 uniform")
	if err != nil {
		t.Fatal(err)
	}
	c.Lo, c.Hi = 11.8, 12.2
	r, err := c.Solve(100_000, 3)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "sd", r.Sd, 0.2*math.Sqrt(2.0/3), 1e-12)
	near(t, "outside", float64(r.Sample.Outside)/1e5, 0.25, 0.007)
	if r.Within != Sometimes {
		t.Errorf("verdict %v", r.Within)
	}
	tri := Dim{Plus: 0.3, Minus: 0.3, Shape: Triangle}
	near(t, "triangle", tri.sd(), 0.3/math.Sqrt(6), 1e-15)
	one := Chain{Name: "t", Dims: []Dim{tri}, Lo: -0.15, Hi: 0.15}
	if r, err = one.Solve(100_000, 3); err != nil {
		t.Fatal(err)
	}
	near(t, "triangle outside half", float64(r.Sample.Outside)/1e5, 0.25, 0.007) // (1/2)^2
	near(t, "triangle sampled", r.Sample.Sd, tri.sd(), 0.002)
}

// One-sided tolerances move the middle; on a dimension that is taken away,
// larger is less.
func TestOneSided(t *testing.T) {
	c, err := Parse("", "10 +0.2 - 4 +0.1")
	if err != nil {
		t.Fatal(err)
	}
	r, err := c.Solve(0, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lo", r.Worst.Lo, 5.9, 1e-12)
	near(t, "hi", r.Worst.Hi, 6.2, 1e-12)
	near(t, "nominal", r.Nominal, 6, 1e-12)
}

func TestVerdicts(t *testing.T) {
	c, err := Parse("gap", "40 +-0.10 - 25 +-0.05 - 2 +-0.03 - 10 +-0.05")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct {
		lo, hi float64
		want   Verdict
	}{
		{math.Inf(-1), math.Inf(1), Unasked},
		{2.77, 3.23, Always},
		{2.8, 3.2, Usually},
		{2.95, 3.2, Sometimes},
		{3.3, 4, Never},
	} {
		c.Lo, c.Hi = k.lo, k.hi
		r, err := c.Solve(10, 1)
		if err != nil || r.Within != k.want {
			t.Errorf("%g..%g: %v (%v), want %v", k.lo, k.hi, r.Within, err, k.want)
		}
	}
}

func TestMistakes(t *testing.T) {
	for text, want := range map[string]string{
		"":             "missing",
		"40 +-0.1 -":   "missing",
		"40 25":        "stand alone",
		"40 +-x":       "no tolerance",
		"40 +--0.1":    "no tolerance",
		"box: ring: 4": "missing",
	} {
		if _, err := Parse("t", text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}
