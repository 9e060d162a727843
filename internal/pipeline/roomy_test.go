package pipeline

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// A drawer under a bolt that is pushed along and turned: three travels between two parts.
// It goes out where the bolt's flat is down and lies over all of the drawer. Closed form:
// the flat is 12.5 mm long and the drawer 12 mm wide, so that at growth g the bolt, pushed
// to the middle, lets it by where 12 + 2 g <= 12.5 - 2 g: it binds at 0.125 mm a surface
// (by its depth, 1.6 of 2 mm, only at 0.2). Without the flat the bolt reaches at least 3 mm
// down on all its sides and the drawer's top is 2 mm below its axis: the step is needed.
func TestBoltThatTurnsAndSlides(t *testing.T) {
	boltBinds(t, -4, "hand", 0, 2)
}

// The same drawn as it stands at the start, where the ends of its full turn meet: the
// cells on either side of that place count.
func TestBoltThatStartsAtTheSeam(t *testing.T) {
	boltBinds(t, -4, "hand", 90, 2)
}

// The same with a bolt that falls along: the box must be turned as well, and the bolt
// rests in the middle by itself.
func TestBoltThatTurnsAndFalls(t *testing.T) {
	if testing.Short() {
		t.Skip("long with the race detector, which uses -short; the plain run has it")
	}
	boltBinds(t, -3.25, "gravity", 0, 3)
}

// drawn is at how many degrees of its start's quarter turn it is drawn.
func boltBinds(t *testing.T, press float64, by string, drawn float64, moves int) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bolt.star")
	design := fmt.Sprintf(`about(title = "Bolt", designer = "feint", note = "Invented for a test.", license = "Apache-2.0")
frame = part("frame", frame = True, solid = block((-40, 40), (-30, 30), (-10, -6)))
drawer = part("drawer", solid =
    block((-12, 12), (-6, 6), (-4, 4)) - block((-5, 5), (-20, 20), (0.9, 10)),
    travels = [slide(x, 0, 24, name = "out")])
bolt = part("bolt", solid =
    (block((-3, 3), (-12, 12), (3, 9)) - block((-10, 10), (-3, 9.5), (0, 4.4))).turned(%[3]g, about = y, through = (0, 0, 6)),
    travels = [slide(y, %[1]g, 0, name = "press", moved_by = %[2]q), turn(y, through = (0, 0, 6), name = "roll")])
start({bolt.roll: 90 - %[3]g, bolt.press: 0})
step("flat down", {bolt.roll: ((330 - %[3]g), (390 - %[3]g) %% 360)})
goal("drawer out", {drawer.out: (20, None)})
`, press, by, drawn)
	if err := os.WriteFile(path, []byte(design), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := Prove(context.Background(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := out.Document
	if !out.Verdict.Certified || d.MovesLeast == nil || *d.MovesLeast != moves {
		t.Errorf("%q, not certified to open in %d moves and no fewer", out.Verdict.Sentence, moves)
	}
	if s := d.Steps[0]; s.Unavoidable == nil || !*s.Unavoidable {
		t.Errorf("the step %+v is not known to be needed", s)
	}
	within(t, "bind", out.Document.Fit.Bind, 0.125, 0.0125)
}
