package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"feint/internal/hands"
)

// An invented kiln, by hand: the hatch slides out once the damper is lifted, so holding
// either keeps it shut; the brick lies beside the hatch's way and holding it helps
// nothing, though it gives way first when the kiln is tilted. The cure that is named is
// then made, with detents, and must work.
func TestKeeps(t *testing.T) {
	const kiln = `
kiln = part("kiln", frame = True, solid = block((-30, 30), (-20, 20), (-8, 0)) + block((20, 26), (-12, 12), (-1, 12)) + block((-26, -20), (-12, 12), (-1, 12)))
hatch = part("hatch", solid = block((-19, 6), (-6, 6), (0.3, 6)), travels = [slide(y, 0, 40)])
damper = part("damper", solid = block((-8, -2), (6.25, 10), (0.3, 9)), travels = [slide(z, 0, 20, holds = [DAMPER])])
brick = part("brick", solid = block((6.25, 14), (6.25, 12), (0.3, 8)), travels = [slide(x, 0, 5, holds = [BRICK])])
goal("hatch out", {hatch.slide: (30, None)})
`
	const detent = "detent(at = 0, force = 20)"
	for _, c := range []struct {
		name, damper, brick string
		opens               bool
	}{{"as drawn", "", "", true}, {"brick held", "", detent, true}, {"damper held", detent, "", false}} {
		file := filepath.Join(t.TempDir(), "kiln.star")
		text := strings.NewReplacer("DAMPER", c.damper, "BRICK", c.brick).Replace(kiln)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth})
		if err != nil {
			t.Fatal(err)
		}
		if len(out.Handling) == 0 {
			t.Fatal("handling was not asked")
		}
		for _, r := range out.Handling {
			if opens := r.Outcome == hands.Opens; opens != c.opens {
				t.Errorf("%s: %s at %g: %s", c.name, r.Kind, r.Level, r.Outcome)
			}
			var held []string
			for _, k := range r.Keeps {
				held = append(held, out.Mechanism.Parts[out.Mechanism.Travels[k].Part].Name)
			}
			if c.opens && !slices.Equal(held, []string{"hatch", "damper"}) {
				t.Errorf("%s: %s at %g: holding one of %v is said to be enough", c.name, r.Kind, r.Level, held)
			}
		}
	}
}
