package gauge

import (
	"feint/internal/mating"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

func cutAll(*mechanism.Mechanism, []*mesh.Mesh, []mating.Fit, Settings) ([]Gauge, []Refused, error) {
	return nil, nil, nil
}
