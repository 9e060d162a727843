package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"testing"
)

// A round bar goes along through a slot that is narrower than it is thick, or across
// and through a wide one. Closed form: at growth g it fits the narrow slot where
// 6 + 4 g <= 5.76, so the leak is at -0.06 mm; the wide slot closes at (6.5 - 6) / 4.
func TestBarThroughANarrowSlot(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bar.star")
	const design = `about(title = "Bar", designer = "feint", note = "Invented for a test.", license = "Apache-2.0")
frame = part("frame", frame = True, solid =
    block((-30, 50), (-20, 30), (-7.5, -3.5))
    + block((20, 24), (-20, 30), (-4, 8))
    - block((19, 25), (-2.88, 2.88), (-3.5, 9))
    - block((19, 25), (11.75, 18.25), (-3.5, 9)))
bar = part("bar", solid = cylinder(d = 6, h = 10).along(x).at(x = -10),
    travels = [slide(x, 0, 40, name = "on"), slide(y, 0, 20, name = "across")])
start({bar.on: 0, bar.across: 0})
goal("through", {bar.on: (36, None)})
step("across to the wide slot", {bar.across: (8, None)})
`
	if err := os.WriteFile(path, []byte(design), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := Prove(context.Background(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !out.Verdict.Certified {
		t.Errorf("verdict %q is not certified", out.Verdict.Sentence)
	}
	within(t, "leak", out.Document.Fit.Leak, -0.06, 0.0125)
	within(t, "bind", out.Document.Fit.Bind, 0.125, 0.0125)
}
