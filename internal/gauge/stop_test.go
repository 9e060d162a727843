package gauge

import (
	"context"
	"errors"
	"testing"

	"feint/internal/mesh"
)

// TestStop: a gauge that is too dear is tried again with fewer sockets, less deep and the
// other way round; told to end, it is not, and no fit is said to be refused.
func TestStop(t *testing.T) {
	parts, fits := drawn(t, `
case = part("case", frame = True, solid = block((0, 40), (0, 16), (0, 14)) - cylinder(d = 8, h = 12).at(x = 20, y = 8, z = 4))
pin = part("pin", solid = cylinder(d = 7.6, h = 20).at(x = 20, y = 8, z = 4.5), travels = [slide(z, 0, 30)])
start({})
goal("out", {pin.slide: (20, None)})
`)
	for at := 1; at <= 2; at++ {
		ctx, cancel := context.WithCancel(context.Background())
		n := 0
		s := Settings{Gaps: []float64{0.15, 0.2, 0.25}, Estimate: func([]*mesh.Mesh) (float64, float64) {
			if n++; n == at {
				cancel()
			}
			return 2 * MostMinutes, 0
		}}
		gs, refused, err := Cut(ctx, parts, fits, s, 0)
		if n != at || gs != nil || refused != nil || !errors.Is(err, context.Canceled) {
			t.Errorf("told to end at price %d: %d were asked, %v, refused %v, %v", at, n, gs, refused, err)
		}
		cancel()
	}
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	if g, err := Plain(ended, settings()); g != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("plain ladder: %v, %v", g, err)
	}
}
