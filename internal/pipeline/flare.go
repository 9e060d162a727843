package pipeline

import (
	"fmt"

	"feint/internal/mesh"
	"feint/internal/printable"
)

// flared puts the flare of the first layers as a skin on every part that is printed,
// where that is asked. What hangs on the meshes then tells of parts as they come off
// the plate, before any edge is broken.
func flared(out *Outcome, o Options) error {
	if !o.Flare {
		return nil
	}
	s := o.print()
	for i := range out.Bodies {
		p := &out.Mechanism.Parts[i]
		if p.Material.Bought || !out.Bodies[i].Sound() {
			continue
		}
		m, err := printable.Flared(printable.Piece{Mesh: out.Bodies[i].Mesh, Up: p.Print}, s.Flare, s.FlareHeight, o.workers())
		if err != nil {
			return fmt.Errorf("part %q: the flare of its first layers: %w", p.Name, err)
		}
		b := Body{Mesh: m, Defects: mesh.Check(m), Hash: meshHash(m)}
		b.keptAs("") // it is made anew every time
		out.Bodies[i] = b
	}
	return nil
}
