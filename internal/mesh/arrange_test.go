package mesh

import (
	"math"
	"testing"

	"feint/internal/geom"
)

func arranged(t testing.TB, name string, inside func([]bool) bool, solids ...*Mesh) *Mesh {
	t.Helper()
	m, err := Arrange(solids, inside, Options{})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	sound(t, name, m)
	return m
}

// closedForm is a result whose volume follows from the shapes.
type closedForm struct {
	name   string
	inside func([]bool) bool
	solids []*Mesh
	volume float64
	tol    float64 // relative; not exact where circles are facetted
}

func closedForms() []closedForm {
	lying := rod(3, 0, 10).Moved(geom.Rotation(axisY(), math.Pi/2)).Moved(geom.Translation(geom.Vec{Z: 8}))
	return []closedForm{
		{"overlapping blocks", any1, []*Mesh{block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)}, 15, 1e-9},
		{"common block", all1, []*Mesh{block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)}, 1, 1e-9},
		{"cut block", firstOnly, []*Mesh{block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)}, 7, 1e-9},
		{"bored block", firstOnly, []*Mesh{block(-5, -5, 0, 5, 5, 10), rod(3, -1, 11)}, 1000 - math.Pi*90, 1e-6},
		{"coplanar", any1, []*Mesh{block(0, 0, 0, 10, 10, 5), block(4, 2, 5, 14, 12, 9), block(0, 0, 5, 4, 10, 9)}, 1060, 1e-9},
		{"edge contact", any1, []*Mesh{block(0, 0, 0, 5, 5, 5), block(5, 5, 0, 10, 10, 5)}, 250, 1e-9},
		{"tangent on plane", any1, []*Mesh{block(-5, -5, 0, 15, 5, 5), lying}, 1000 + math.Pi*90, 1e-5},
		{"steinmetz", all1, []*Mesh{rod(4, -8, 8), rod(4, -8, 8).Moved(geom.Rotation(axisY(), math.Pi/2))}, 16. / 3 * 64, 2e-3},
		{"wall 0.1", firstOnly, []*Mesh{rod(8, 0, 10), rod(7.9, 0.1, 11)}, math.Pi * (640 - 7.9*7.9*9.9), 1e-5},
		{"nothing", all1, []*Mesh{block(0, 0, 0, 1, 1, 1), block(2, 0, 0, 3, 1, 1)}, 0, 0},
		{"hollow", firstOnly, []*Mesh{block(0, 0, 0, 9, 9, 9), block(3, 3, 3, 6, 6, 6)}, 729 - 27, 1e-9},
		{"same twice", any1, []*Mesh{block(0, 0, 0, 2, 2, 2), block(0, 0, 0, 2, 2, 2)}, 8, 1e-9},
		{"face contact", any1, []*Mesh{block(0, 0, 0, 2, 2, 2), block(2, 0, 0, 4, 2, 2)}, 16, 1e-9},
	}
}

// TestClosedForms checks volumes against closed forms.
func TestClosedForms(t *testing.T) {
	for _, c := range closedForms() {
		m := arranged(t, c.name, c.inside, c.solids...)
		near(t, c.name, m.Volume(), c.volume, c.tol)
	}
}
