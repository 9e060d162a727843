package calibrate

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// rows reads a file of numbers.
func rows(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out [][]float64
	for sc := bufio.NewScanner(f); sc.Scan(); {
		if strings.HasPrefix(sc.Text(), "#") {
			continue
		}
		var r []float64
		for _, w := range strings.Fields(sc.Text()) {
			v, err := strconv.ParseFloat(w, 64)
			if err != nil {
				t.Fatal(err)
			}
			r = append(r, v)
		}
		out = append(out, r)
	}
	return out
}

func relative(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s: %.15g, want %.15g", what, got, want)
	}
}

// NIST StRD Norris, certified values (testdata/SOURCE.md).
func TestNorris(t *testing.T) {
	var x, y []float64
	for _, r := range rows(t, "norris.txt") {
		y, x = append(y, r[0]), append(x, r[1])
	}
	l, err := Line(x, y)
	if err != nil {
		t.Fatal(err)
	}
	relative(t, "b0", l.B0, -0.262323073774029, 1e-12)
	relative(t, "b1", l.B1, 1.00211681802045, 1e-14)
	relative(t, "standard error of b0", l.Se0, 0.232818234301152, 1e-13)
	relative(t, "standard error of b1", l.Se1, 0.429796848199937e-03, 1e-13)
	relative(t, "s", l.S, 0.884796396144373, 1e-13)
	a, b := stat.LinearRegression(x, y, nil, false) // gonum, not ours
	relative(t, "gonum's b0", a, l.B0, 1e-9)
	relative(t, "gonum's b1", b, l.B1, 1e-12)
}

// NIST StRD SiRstv, certified values.
func TestSiRstv(t *testing.T) {
	g, err := OneWay(rows(t, "sirstv.txt"))
	if err != nil {
		t.Fatal(err)
	}
	relative(t, "F", g.F, 1.18046237440255, 1e-11)
	relative(t, "between", g.Between, 5.11462616000000e-02, 1e-11)
	relative(t, "within", g.Within, 2.16636560000000e-01, 1e-12)
	relative(t, "residual standard deviation", g.SdWithin, 1.04076068334656e-01, 1e-12)
	if g.DfBetween != 4 || g.DfWithin != 20 {
		t.Errorf("%d and %d degrees of freedom", g.DfBetween, g.DfWithin)
	}
}

// n = 22, mean 13.71, s 3.55, 95 %: 6.16 to 21.26 (Montgomery, Applied Statistics
// and Probability for Engineers, from memory).
func TestNextReading(t *testing.T) {
	lo, hi, err := Next(22, 13.71, 3.55, 0.95)
	if err != nil || math.Abs(lo-6.16) > 0.005 || math.Abs(hi-21.26) > 0.005 {
		t.Errorf("%.4f to %.4f (%v), want 6.16 to 21.26", lo, hi, err)
	}
}

// At the mean of x the interval of the line is that of readings with n-2 degrees
// of freedom (closed form).
func TestPredictAtTheMiddle(t *testing.T) {
	l, err := Line([]float64{-1, 0, 1, 2, -2}, []float64{1, 2, 4, 5, 0})
	if err != nil {
		t.Fatal(err)
	}
	y, lo, hi := l.Predict(0, 0.95)
	const t3 = 3.182446305284263 // Student's t, 3 degrees of freedom, 97.5 % (tables: 3.182)
	relative(t, "half width", hi-y, t3*l.S*math.Sqrt(1.2), 1e-9)
	relative(t, "symmetric", hi-y, y-lo, 1e-12)
	if _, err := Line([]float64{1, 1, 1}, []float64{1, 2, 3}); err == nil {
		t.Error("a line through one x")
	}
	if _, err := OneWay([][]float64{{1}, {}}); err == nil {
		t.Error("an empty group")
	}
}
