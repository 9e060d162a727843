package hands_test

import (
	"math"
	"testing"

	"feint/internal/hands"
	"feint/internal/motion"
)

// TestOver: the directed law only ever takes ways away (a law): a no stays a no, a step
// that hands that reach everything must take stays so, and the bind only falls.
func TestOver(t *testing.T) {
	all := &motion.Result{
		Asked: [2]float64{-0.05, 0.05},
		Drawn: motion.Opening{Opens: motion.Yes, Moves: 3, Start: motion.Yes, Goal: motion.No},
		Tight: motion.Opening{Growth: 0.05, Opens: motion.No},
		Loose: motion.Opening{Growth: -0.05, Opens: motion.Yes},
		Steps: []motion.Step{{Unavoidable: motion.Yes}, {Index: 1, Unavoidable: motion.No, Bypass: &motion.Limit{Lo: 0.01, Hi: 0.02}}},
		Fit:   motion.Fit{Bind: &motion.Limit{Lo: 0.03, Hi: 0.04}},
	}
	r := &hands.Result{
		Asked: all.Asked,
		Drawn: hands.Opening{Opens: motion.Yes, Moves: 5, Start: motion.Yes, Put: motion.No},
		Tight: hands.Opening{Growth: 0.05, Opens: motion.Undecided},
		Loose: hands.Opening{Growth: -0.05, Opens: motion.Yes},
		Steps: []hands.Step{{Unavoidable: motion.Undecided}, {Unavoidable: motion.Yes, Loose: motion.Yes}},
	}
	out := r.Over(all)
	if out.Tight.Opens != motion.No || out.Drawn.Moves != 5 || out.Drawn.Goal != motion.No {
		t.Errorf("openings %+v %+v", out.Drawn, out.Tight)
	}
	if out.Steps[0].Unavoidable != motion.Yes || out.Steps[1].Unavoidable != motion.Yes || out.Steps[1].Bypass != nil || out.Fit.Leak != nil {
		t.Errorf("steps %+v", out.Steps)
	}
	if b := out.Fit.Bind; b.Lo != 0 || b.Hi != 0.04 || b.Below || !r.Alone {
		t.Errorf("bind %+v, alone %v", b, r.Alone)
	}
	r.Drawn.Opens, r.Loose.Opens = motion.No, motion.No
	if b := r.Over(all).Fit.Bind; !b.Below || !math.IsInf(b.Lo, -1) || b.Hi != -0.05 {
		t.Errorf("bind of a box that never opens %+v", b)
	}
	if all.Fit.Bind.Lo != 0.03 || all.Steps[1].Bypass == nil {
		t.Error("the result given was changed")
	}
}
