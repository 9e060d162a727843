package clearance

import (
	"context"
	"fmt"
	"math"
	"testing"

	"feint/internal/mechanism"
)

func TestQuick(t *testing.T) {
	a := block(-2, 2, -2, 2, 0, 5)
	b := block(5, 10, -3, 3, 0, 5)
	m := mapOf(t, pairing([]mechanism.Travel{slide(v(1, 0, 0), 0, 10)}, nil), a, b)
	for _, x := range []float64{0, 1, 2.9, 3, 3.1, 4, 5, 6} {
		lo, hi, err := m.At([]float64{x})
		fmt.Println(x, lo, hi, err)
	}
	if err := m.Refine(context.Background(), []float64{-0.6, -0.1, 0, 0.1, 0.3}, 0.01); err != nil {
		t.Fatal(err)
	}
	for c := range m.Cells() {
		fmt.Println(c.Lo[0], c.Hi[0], c.Lower, c.Upper)
	}
	// turning rod in bore
	rod := join(prism(ngon(32, 6, 0), -10, 10))
	m = mapOf(t, pairing([]mechanism.Travel{slide(v(0, 0, 1), -5, 5), fullTurn(zAxis)}, nil), rod, tube(40, 6.3, 10, -3, 3))
	lo, hi, _ := m.At([]float64{0, 0.1})
	fmt.Println(lo, hi, 6.3*math.Cos(math.Pi/40)-6)
	if err := m.Refine(context.Background(), []float64{-0.6, -0.1, 0, 0.1, 0.3}, 0.01); err != nil {
		t.Fatal(err)
	}
	n := 0
	for range m.Cells() {
		n++
	}
	fmt.Println(n)
}
