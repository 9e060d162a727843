package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"feint/internal/design"
)

// A click that is too weak for a knock: the force that is said to do is proved from the
// beginning to do, and the one that is said not to is not. The gap, which draws parts
// otherwise, is not tried without whole proofs, but then a cure is known.
func TestHandlingCure(t *testing.T) {
	file := filepath.Join(t.TempDir(), "chute.star")
	err := os.WriteFile(file, []byte(`
click = param("click", 0.1, min = 0.05, max = 6, unit = "N")
gap = param("side gap", 0.3, min = 0.2, max = 0.5, unit = "mm")
hut = part("hut", frame = True, solid = block((-30, 60), (-10, 10), (-10, 10)) - block((-10 - gap, 61), (-3 - gap, 3 + gap), (-3 - gap, 3 + gap)))
bar = part("bar", solid = block((-10, 10), (-3, 3), (-3, 3)), travels = [slide(x, 0, 70, name = "run", holds = [detent(at = 0, force = click)])])
goal("bar out", {bar.run: (60, None)})
`), 0o600)
	if err != nil {
		t.Fatal(err)
	}
	ctx, o := context.Background(), Options{Growth: DefaultGrowth}
	out, err := Prove(ctx, file, o)
	if err != nil {
		t.Fatal(err)
	}
	f, cure := curedBy(out.Verdict.Findings, "knock-open", "click")
	if cure == nil || f.Untried {
		t.Fatalf("no cure among %+v", out.Verdict.Findings)
	}
	for v, stays := range map[float64]bool{cure.To: false, cure.Stays: true} {
		o.Set, o.uncured = []design.Setting{{Name: "click", Value: strconv.FormatFloat(v, 'g', -1, 64)}}, true
		if out, err = Prove(ctx, file, o); err != nil {
			t.Fatal(err)
		}
		is := false
		for i := range out.Verdict.Findings {
			is = is || out.Verdict.Findings[i].Rule == "knock-open"
		}
		if is != stays {
			t.Errorf("at %g N: %v, want %v", v, is, stays)
		}
	}
}
