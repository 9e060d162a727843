package pipeline

import (
	"context"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"feint/internal/design"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/proof"
)

// The limits that are told are shown by the second method too, on both sides: a way at the
// greatest growth at which the box is known to open, walked on the meshes; none at the least
// at which it is told not to, by witnesses or by the start's own clearance; and likewise of
// every step. A limit told wrongly by 0.02 mm is not.
func TestLimitsConfirmed(t *testing.T) {
	paths := []string{"../../examples/ferry/ferry.star", filepath.Join("testdata", "toll.star")}
	if testing.Short() {
		paths = paths[:1] // with the race detector, which uses -short; the plain run has all
	}
	for _, path := range paths {
		o := Options{Cache: store(t), uncured: true}
		var at []motion.Certificate
		o.Early = func(out *Outcome) { at = out.Result.Beyond }
		out, err := Prove(context.Background(), path, o)
		if err != nil {
			t.Fatal(err)
		}
		ev := &out.Verdict.Evidence
		if ev.Limits == nil || !*ev.Limits || out.Document.Fit.Confirmed == nil || !*out.Document.Fit.Confirmed {
			t.Fatalf("%s: the limits are not confirmed: %+v", path, ev.Checks)
		}
		b := out.Result.Fit.Bind
		if !slices.ContainsFunc(at, func(c motion.Certificate) bool { return c.Avoid < 0 && c.Growth == b.Hi }) {
			t.Errorf("%s: no certificate says that nothing opens above %g", path, b.Hi)
		}
		for i := range out.Result.Steps {
			s := &out.Result.Steps[i]
			if h := s.HoldsTo; h < DefaultGrowth[0] && !slices.ContainsFunc(at, func(c motion.Certificate) bool { return c.Avoid == i && c.Growth == h }) {
				t.Errorf("%s: no certificate says that step %d holds to %g", path, i, h)
			}
		}
		if w := out.Result.AtBind; w == nil || w.Growth != b.Lo {
			t.Errorf("%s: no way at %g, where it is told to open", path, b.Lo)
		}
		refuses(t, path, out)
	}
}

// refuses tells the checker of limits that are off.
func refuses(t *testing.T, path string, out *Outcome) {
	t.Helper()
	off := func(change func(r *motion.Result)) *said {
		r := *out.Result
		r.Beyond = nil
		change(&r)
		c := &checker{ctx: context.Background(), out: out, result: &r, witnesses: &witnessing{}}
		for i := range out.Bodies {
			c.trees = append(c.trees, out.Bodies[i].Tree())
		}
		s, err := c.limits(Options{})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	b := out.Result.Fit.Bind
	wide := *out.Result.AtBind
	wide.Growth = b.Hi + 0.02
	if s := off(func(r *motion.Result) { r.AtBind = &wide }); s.ok || len(s.refused) != 1 {
		t.Errorf("%s: a way at %g is walked, 0.02 mm above where it binds: %+v", path, wide.Growth, s.checks)
	}
	if s := off(func(r *motion.Result) {
		r.AtBind = nil
		r.Fit.Bind = &motion.Limit{Lo: math.Inf(-1), Hi: b.Lo - 0.02}
		r.Beyond = []motion.Certificate{{What: "does it open", Growth: b.Lo - 0.02, Avoid: -1}}
	}); s.ok || len(s.refused) != 1 {
		t.Errorf("%s: the start is said not to be free at %g, where it opens: %+v", path, b.Lo-0.02, s.checks)
	}
}

// A start that is not free is told by the clearance of the pair: of the ferry's ramp and hull
// it is drawn, 0.25 mm (its design: a gap of 0.25 all round), so a growth of 0.125 a surface
// closes it.
func TestShut(t *testing.T) {
	const path = "../../examples/ferry/ferry.star"
	l, err := Build(context.Background(), path, Options{Cache: store(t)})
	if err != nil {
		t.Fatal(err)
	}
	var trees []*mesh.Tree
	for i := range l.Bodies {
		trees = append(trees, l.Bodies[i].Tree())
	}
	if r, err := proof.Shut(context.Background(), l.Mechanism, trees, 0.12501); err != nil || r.Needed <= r.Clearance {
		t.Errorf("at 0.12501 mm: %v, %+v", err, r)
	}
	if _, err := proof.Shut(context.Background(), l.Mechanism, trees, 0.12499); err == nil {
		t.Error("at 0.12499 mm the start is said not to be free")
	}
}

// The same where parts fall and are pushed: ways are led on the meshes, and what hands that
// reach everything cannot do is shown as above. A limit of which the evidence is taken away
// is not told to be confirmed.
func TestLimitsConfirmedDirected(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute with the race detector, which uses -short; the plain run has it")
	}
	type trial struct {
		name string
		set  []design.Setting
	}
	for _, x := range []trial{
		{name: "lockkeeper.star"},
		{name: "sluice.star"},
		// parts that are pushed and overlap by hundredths of what they may, over many strides
		{"sluice.star", []design.Setting{{Name: "falls", Value: "0"}, {Name: "edge", Value: "5.9"}}},
	} {
		name := x.name
		o := Options{Cache: store(t), uncured: true, Set: x.set}
		out, err := Prove(context.Background(), filepath.Join("testdata", name), o)
		if err != nil {
			t.Fatal(err)
		}
		ev := &out.Verdict.Evidence
		if out.Hands == nil || ev.Limits == nil || !*ev.Limits {
			t.Errorf("%s: the limits are not confirmed: %+v", name, ev.Checks)
			continue
		}
		c := &checker{ctx: context.Background(), out: out, result: out.Result}
		if len(out.Hands.AtLimit) == 0 || len(c.bare(out.Hands)) > 0 {
			t.Errorf("%s: without evidence: %q, of %d ways", name, c.bare(out.Hands), len(out.Hands.AtLimit))
		}
		without := *out.Hands
		without.AtLimit = nil
		if len(c.bare(&without)) == 0 {
			t.Errorf("%s: no limit is told to lack a way at its lower end", name)
		}
	}
}
