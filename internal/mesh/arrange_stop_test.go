package mesh

import (
	"errors"
	"testing"

	"feint/internal/geom"
)

// combs are two combs of n long plates, crosswise: n times n crossings of plates, each
// of which has at least 4 crossings of faces (by hand: two walls of the one through two
// of the other).
func combs(n int) []*Mesh {
	var out []*Mesh
	for i := range n {
		at := 2 * float64(i)
		out = append(out, block(at, -1, 0, at+1, 2*float64(n), 1), block(-1, at, 0.5, 2*float64(n), at+1, 1.5))
	}
	return out
}

// TestTooMuch: solids made to take all memory are refused before they do; fewer of them
// are joined, and their volume is that of the plates less what is common, by hand.
func TestTooMuch(t *testing.T) {
	any := func(in []bool) bool {
		for _, i := range in {
			if i {
				return true
			}
		}
		return false
	}
	const few = 12
	m, err := Arrange(combs(few), any, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if v, want := m.Volume(), 2*few*(2*few+1)-few*few*0.5; v < want-1e-3 || v > want+1e-3 {
		t.Errorf("%g mm3, by hand %g", v, want)
	}
	var much *TooMuch
	if _, err := Arrange(combs(360), any, Options{}); !errors.As(err, &much) {
		t.Errorf("more than %d crossings: %v", mostCrossed, err)
	}
}

// TestArrangeStops: what is stopped gives no mesh.
func TestArrangeStops(t *testing.T) {
	stop := make(chan struct{})
	close(stop)
	a, b := block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)
	if _, err := Arrange([]*Mesh{a, b.Moved(geom.Identity())}, func(in []bool) bool { return in[0] || in[1] }, Options{Stop: stop}); !errors.Is(err, ErrStopped) {
		t.Error(err)
	}
}
