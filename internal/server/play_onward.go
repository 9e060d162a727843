package server

import (
	"context"
	"math"
	"net/http"
	"slices"

	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/verdict/wording"
)

// onward finds a way to the goal.
func (s *Server) onward(_ http.ResponseWriter, r *http.Request) (any, error) {
	a, st, q, done, err := s.at(r, s.deep)
	if err != nil {
		return nil, err
	}
	defer done()
	if st.live.Directed() {
		return st.handOnward(r.Context(), &a, q)
	}
	m := st.live.Mechanism
	if meets(m, q) {
		return arrived(), nil
	}
	got, err := st.live.Onward(r.Context(), q, a.Growth)
	if err != nil {
		return nil, err
	}
	out := Onward{Opens: got.Opens.String(), Way: []Shown{}}
	if got.Way == nil {
		out.Words = noWay(got.Opens)
		return out, nil
	}
	out.Way = st.plainWay(q, got.Way, a.Up)
	for i := range out.Way {
		out.Way[i].Words = got.Moves[i].Words
	}
	out.Least = got.Way.Least
	out.Words = wording.Count(len(out.Way), "move") + " to the goal from here"
	return out, nil
}

func arrived() Onward {
	return Onward{Opens: "yes", There: true, Way: []Shown{}, Words: "The goal is met."}
}

func noWay(opens motion.Answer) string {
	if opens == motion.No {
		return "No way on from here: the box is in a trap. Take moves back, or begin again."
	}
	return "Whether a way leads on from here could not be decided."
}

// plainWay is a way of hands that reach everything, to be played from q.
func (st *staged) plainWay(q []float64, w *motion.Way, up int) []Shown {
	m := st.live.Mechanism
	out := []Shown{}
	now := slices.Clone(q)
	for i := range w.Moves {
		k := Shown{Kind: "hand", Part: w.Moves[i].Part, Words: []string{}, Frames: []Pose{}}
		for _, stroke := range w.Moves[i].Strokes {
			t := &m.Travels[stroke.Travel]
			if turns := math.Round((now[stroke.Travel] - stroke.From) / (2 * math.Pi)); t.Full {
				now[stroke.Travel] = stroke.To + turns*2*math.Pi // counted on through full turns
			} else {
				now[stroke.Travel] = stroke.To
			}
			words := wording.Part(m, t.Part) + ": " + wording.Stroke(m, stroke)
			k.Frames = append(k.Frames, Pose{Config: outside(st.live, now), Up: up, Tools: []int{}, Words: words})
		}
		out = append(out, k)
	}
	return out
}

// handOnward finds it for a box with parts that fall and are pushed.
func (st *staged) handOnward(ctx context.Context, a *Spot, q []float64) (any, error) {
	at, err := st.situation(q, a.Up, a.Tools, a.Growth)
	if err != nil {
		return nil, err
	}
	t, err := st.live.Ahead(ctx)
	if err != nil {
		return nil, bad("%v", err)
	}
	got, err := t.Onward(at)
	if err != nil {
		return nil, adrift(err)
	}
	if got.There {
		return arrived(), nil
	}
	out := Onward{Opens: got.Opens.String(), Way: []Shown{}}
	if got.Way == nil {
		out.Words = noWay(got.Opens)
		return out, nil
	}
	if out.Way, err = st.handWay(ctx, at, got.Way); err != nil {
		return nil, err
	}
	out.Words = wording.Count(len(out.Way), "move") + " to the goal from here"
	return out, nil
}

// handWay plays a way and notes what is to be shown.
func (st *staged) handWay(ctx context.Context, at hands.Situation, w *hands.Way) ([]Shown, error) {
	t, err := st.live.Hands(ctx)
	if err != nil {
		return nil, bad("%v", err)
	}
	m := st.live.Mechanism
	out := []Shown{}
	for i := range w.Moves {
		k := &w.Moves[i]
		v := Shown{Kind: k.Kind.String(), Part: k.Part, Words: wording.Move(m, k), Frames: []Pose{}}
		came, err := st.replay(t, at, k)
		if err != nil {
			return nil, err
		}
		for _, c := range came {
			for _, f := range c.Frames {
				v.Frames = append(v.Frames, st.pose(f, c.words))
			}
			at = c.To
		}
		out = append(out, v)
	}
	return out, nil
}

// deed is what came of a part of a move, with its words.
type deed struct {
	hands.Came
	words string
}

// replay does a move of a way.
func (st *staged) replay(t *hands.Try, at hands.Situation, k *hands.Move) ([]deed, error) {
	m := st.live.Mechanism
	var out []deed
	add := func(c hands.Came, err error, words string) error {
		if err != nil {
			return adrift(err)
		}
		out, at = append(out, deed{c, words}), c.To
		return nil
	}
	switch k.Kind {
	case hands.Turn:
		c, err := t.Turn(at, slices.Index(m.Ups(), k.Up))
		return out, add(c, err, wording.Move(m, k)[0])
	case hands.Take:
		tool, seat := seatOf(m, k.Part)
		c, err := t.Take(at, tool, seat)
		return out, add(c, err, wording.Move(m, k)[0])
	case hands.Hand:
	}
	for i, stroke := range k.Strokes {
		c, err := t.Stroke(at, stroke.Travel, stroke.To, i == len(k.Strokes)-1)
		if err := add(c, err, wording.Part(m, k.Part)+": "+wording.Stroke(m, stroke.Stroke)); err != nil {
			return nil, err
		}
	}
	return out, nil
}
