package hands

import (
	"context"
	"fmt"
	"math"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/geom"
	"feint/internal/motion"
)

// Attitude is what gravity alone does to the box at the start, held so that Down
// points to the ground.
type Attitude struct {
	Down  geom.Vec
	Loose []int         // travels that may run, ascending
	Sure  []int         // of them those that run whatever is not known of friction
	Opens motion.Answer // whether that brings the goal about
}

// Attitudes asks for every direction of gravity what runs at a growth, the hand moving
// nothing.
func Attitudes(ctx context.Context, c *Case, growth float64, downs []geom.Vec, o Options) ([]Attitude, error) {
	h, err := newHandler(ctx, c, growth, o)
	if err != nil {
		return nil, err
	}
	ts, ok := h.held()
	known := map[string]Attitude{} // many directions set the same free
	out := make([]Attitude, len(downs))
	for i, at := range h.mapped(ts, downs) {
		ls := freed(at.Free, ok)
		key := fmt.Sprint(ls)
		a, seen := known[key]
		if !seen {
			a = h.attitude(ls)
			known[key] = a
		}
		a.Down = downs[i]
		out[i] = a
	}
	return out, h.b.trouble()
}

// mapped is load.Map of the travels with what magnets hold each way with.
func (h *handler) mapped(ts []load.Travel, downs []geom.Vec) []load.Attitude {
	out := load.Map(ts, downs)
	var pulled []int
	var both []load.Travel // forwards, backwards
	for t := range ts {
		if p := h.pull(t); !p.none() {
			pulled = append(pulled, t)
			both = append(both, p.going(ts[t], 0), p.going(ts[t], 1))
		}
	}
	if len(pulled) == 0 {
		return out
	}
	for i, at := range load.Map(both, downs) {
		for k, t := range pulled {
			out[i].Free[t] = load.Freed{Forward: at.Free[2*k].Forward, Backward: at.Free[2*k+1].Backward}
		}
	}
	return out
}

// freed lists what a direction sets free: from level 0 on, surely or perhaps.
func freed(fs []load.Freed, ok []bool) []Loose {
	var out []Loose
	for t := range fs {
		for way, f := range [2]forces.Answer{fs[t].Forward.Free, fs[t].Backward.Free} {
			if !ok[t] || f == forces.No {
				continue
			}
			l := Loose{Travel: t, Up: way == 0}
			if f == forces.Maybe {
				l.From.Hi = math.Inf(1)
			}
			out = append(out, l)
		}
	}
	return out
}

func (h *handler) attitude(ls []Loose) Attitude {
	may, sure := h.reach(ls, 0, generous), h.reach(ls, 0, strict)
	a := Attitude{Loose: h.moving(may), Sure: h.moving(sure)}
	sp := h.b.sp
	switch {
	case sp.Meets(sure, h.goal[strict]):
		a.Opens = motion.Yes
	case !sp.Meets(may, h.goal[generous]):
		a.Opens = motion.No
	}
	return a
}
