package pipeline

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"feint/internal/forces/load"
)

// What shaking two magnets near each other keep their lid in is one number, told of the
// lid and of the load: each also sees the other's mate, which a sum over the mates leaves
// out (some 0.2 % here).
func TestLidToldAlike(t *testing.T) {
	file := filepath.Join(t.TempDir(), "urn.star")
	err := os.WriteFile(file, []byte(`
def mag(x, z, name, mates): return magnet(d = 6, h = 3, at = (x, 0, z), name = name, mates = mates)
urn = part("urn", frame = True, solid = block((-20, 20), (-10, 10), (0, 10)), magnets = [mag(-4, 8.5, "a", "c"), mag(4, 8.5, "b", "d")])
lid = part("lid", solid = block((-20, 20), (-10, 10), (10.5, 16)), travels = [slide(z, 0, 20, name = "lift")], magnets = [mag(-4, 12, "c", ""), mag(4, 12, "d", "")])
goal("off", {lid.lift: (18, None)})
`), 0o600)
	if err != nil {
		t.Fatal(err)
	}
	out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth, uncured: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(out.Verdict.Evidence.Forces.Lids) != 1 {
		t.Fatalf("%+v", out.Verdict.Evidence.Forces)
	}
	l := out.Verdict.Evidence.Forces.Lids[0]
	for _, r := range out.Handling {
		if r.Kind == load.Shake && (math.Abs(r.Needs.Lo-l.Kept.Lo) > 1e-3*l.Kept.Lo || math.Abs(r.Needs.Hi-l.Kept.Hi) > 1e-3*l.Kept.Hi) {
			t.Errorf("kept in up to %v g, comes off from %v g on", l.Kept, r.Needs)
		}
	}
	if two := l.Each.Scale(2); math.Abs(two.Lo-l.Pull.Lo) < 1e-4*l.Pull.Lo {
		t.Errorf("the magnets do not see each other's mates: %v and %v", two, l.Pull)
	}
}
