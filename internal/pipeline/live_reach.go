package pipeline

import (
	"context"
	"math"

	"feint/internal/mechanism"
)

const (
	// liveEase is how far a part that was stopped is let back, mm: a hand does not
	// press it on, and it slides along what stopped it without scraping.
	liveEase = 0.03
	// reachRounds bounds how often the travels of a part take turns.
	reachRounds = 200
	// leastRun is the shortest stroke that is worth telling, mm or radians.
	leastRun = 1e-4
)

// Run is one straight run of one travel, mm or radians.
type Run struct {
	Travel   int
	From, To float64
}

// Reached is where a part comes that is drawn towards a place.
type Reached struct {
	Config []float64
	Runs   []Run  // what was moved, in order
	Stops  []Stop // why each wanted travel went no further, in the order of want; Limit where it came as far as wanted
}

// Want is a value wanted of a travel.
type Want struct {
	Travel int
	Value  float64 // mm or radians
}

// Reach draws a part towards the values wanted of its travels, one after the
// other, round by round, as long as any of them gets on. It ends at a
// configuration that keeps every clearance.
func (l *Live) Reach(ctx context.Context, q []float64, want []Want, growth float64, effort Effort) (*Reached, error) {
	r := &Reached{Config: append([]float64(nil), q...), Stops: make([]Stop, len(want))}
	for range reachRounds {
		moved := false
		for i, w := range want {
			ok, err := l.pull(ctx, r, i, w, growth, &effort)
			if err != nil {
				return r, err
			}
			moved = moved || ok
		}
		if !moved || len(want) == 1 {
			break
		}
	}
	return r, nil
}

// pull moves one travel as far as it goes towards what is wanted.
func (l *Live) pull(ctx context.Context, r *Reached, i int, w Want, growth float64, effort *Effort) (bool, error) {
	from := r.Config[w.Travel]
	if math.Abs(w.Value-from) < leastRun {
		r.Stops[i] = Stop{Value: from, By: -1, Of: -1, Limit: true}
		return false, nil
	}
	s, err := l.stroke(ctx, r.Config, w.Travel, l.within(w), growth, effort)
	if err != nil {
		return false, err
	}
	r.Stops[i] = s
	to := s.Value
	if !s.Limit {
		back := min(liveEase/l.pace(w.Travel, r.Config), math.Abs(to-from)/2)
		to -= math.Copysign(back, to-from)
	}
	if math.Abs(to-from) < leastRun {
		return false, nil
	}
	r.Config[w.Travel] = to
	if n := len(r.Runs); n > 0 && r.Runs[n-1].Travel == w.Travel {
		r.Runs[n-1].To = to
	} else {
		r.Runs = append(r.Runs, Run{w.Travel, from, to})
	}
	return true, nil
}

// within keeps a wanted value inside the limits of its travel.
func (l *Live) within(w Want) float64 {
	t := &l.Mechanism.Travels[w.Travel]
	if t.Full {
		return w.Value
	}
	return min(max(w.Value, t.Lo), t.Hi)
}

// pace is how far the farthest point of a part goes per unit of a travel.
func (l *Live) pace(t int, q []float64) float64 {
	k := &l.Mechanism.Travels[t]
	if k.Kind == mechanism.Slide {
		return 1
	}
	carrier := l.Mechanism.Pose(l.Mechanism.Parts[k.Part].Carrier, q)
	axis := k.Axis
	axis.Point, axis.Dir = carrier.Apply(axis.Point), carrier.Turn(axis.Dir)
	return max(1, l.reach(k.Part, axis, q))
}
