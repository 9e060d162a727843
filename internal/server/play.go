package server

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"slices"

	"feint/internal/mechanism"
	"feint/internal/pipeline"
	"feint/internal/verdict/wording"
)

// maxGrowth is the largest growth that may be asked, mm a surface.
const maxGrowth = 1.0

// spot reads a configuration and checks it.
func (s *Server) spot(stage string, config []float64, part int, growth float64) (*staged, []float64, error) {
	st, err := s.stage(stage)
	if err != nil {
		return nil, nil, err
	}
	if !(math.Abs(growth) <= maxGrowth) {
		return nil, nil, bad("A growth of %g mm cannot be asked; keep within %g.", growth, maxGrowth)
	}
	q := make([]float64, len(config))
	for i, v := range config {
		if i < len(st.live.Mechanism.Travels) {
			q[i] = inside(&st.live.Mechanism.Travels[i], v)
		}
	}
	if err := st.live.Check(q, part); err != nil {
		return nil, nil, bad("%v", err)
	}
	return st, q, nil
}

// attitude checks which way the box is held.
func (st *staged) attitude(up int) error {
	if up < 0 || up >= len(st.view.Ups) {
		return bad("There is no way %d to hold the box; there are %d.", up, len(st.view.Ups))
	}
	return nil
}

// slot waits for a turn.
func slot(ctx context.Context, of chan struct{}) (func(), error) {
	select {
	case of <- struct{}{}:
		return func() { <-of }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// at reads which part of which stage a request asks about and in which
// configuration, and waits for a place among slots; done gives the place back.
func (s *Server) at(r *http.Request, slots chan struct{}) (a Spot, st *staged, q []float64, done func(), err error) {
	if err = readJSON(r, &a); err != nil {
		return a, nil, nil, nil, err
	}
	if st, q, err = s.spot(a.Stage, a.Config, a.Part, a.Growth); err != nil {
		return a, nil, nil, nil, err
	}
	done, err = slot(r.Context(), slots)
	return a, st, q, done, err
}

// room tells how far a part can go.
func (s *Server) room(_ http.ResponseWriter, r *http.Request) (any, error) {
	a, st, q, done, err := s.at(r, s.slots)
	if err != nil {
		return nil, err
	}
	defer done()
	if st.live.Directed() {
		return st.handRooms(r.Context(), &a, q)
	}
	out := Rooms{Part: a.Part, Rooms: []Room{}}
	for _, t := range st.live.Mechanism.Parts[a.Part].Travels {
		k, err := st.live.Room(r.Context(), q, t, a.Growth, pipeline.DefaultEffort)
		if err != nil {
			return nil, err
		}
		lo, hi := halt(st.live, t, k.Lo), halt(st.live, t, k.Hi)
		o := Room{Travel: t, Lo: lo, Hi: hi, Turns: k.Turns}
		unit := wording.Unit(&st.live.Mechanism.Travels[t])
		o.Words = fmt.Sprintf("from %s to %s %s", wording.Number(lo.At, 2), wording.Number(hi.At, 2), unit)
		if k.Turns {
			o.Words = "all the way round"
		}
		out.Rooms = append(out.Rooms, o)
	}
	return out, nil
}

// halt puts a stop into words.
func halt(l *pipeline.Live, t int, s pipeline.Stop) Halt {
	k := &l.Mechanism.Travels[t]
	h := Halt{At: wording.Outside(k, s.Value), By: s.By, Cause: "part"}
	switch {
	case s.Limit:
		h.Cause, h.Words = "limit", "as far as it goes"
	case s.Open:
		h.Cause, h.Words = "open", "not worked out further yet"
	default:
		h.Words = "stopped by " + wording.Part(l.Mechanism, s.By)
		if s.Of != k.Part {
			h.Words = wording.Part(l.Mechanism, s.Of) + ", carried along, is " + h.Words
		}
	}
	return h
}

// pull draws a part.
func (s *Server) pull(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a Pull
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	st, q, err := s.spot(a.Stage, a.Config, 0, a.Growth)
	if err != nil {
		return nil, err
	}
	want, err := wants(st.live.Mechanism, a.Want)
	if err != nil {
		return nil, err
	}
	done, err := slot(r.Context(), s.slots)
	if err != nil {
		return nil, err
	}
	defer done()
	return st.pulled(r.Context(), &a, q, want)
}

// pulled draws a part of the stage.
func (st *staged) pulled(ctx context.Context, a *Pull, q []float64, want []pipeline.Want) (any, error) {
	if err := st.attitude(a.Up); err != nil {
		return nil, err
	}
	if st.live.Directed() {
		return st.handPull(ctx, a, q, want)
	}
	got, err := st.live.Reach(ctx, q, want, a.Growth, pipeline.DefaultEffort)
	if err != nil {
		return nil, err
	}
	out := Pulled{Up: a.Up, Tools: []int{}, Frames: []Pose{}, Runs: []Run{}, Halts: []Halt{}, Effects: []Effect{}, Goal: meets(st.live.Mechanism, got.Config)}
	now := slices.Clone(q)
	for _, k := range got.Runs {
		t := &st.live.Mechanism.Travels[k.Travel]
		out.Runs = append(out.Runs, Run{k.Travel, wording.Outside(t, k.From), wording.Outside(t, k.To)})
		now[k.Travel] = k.To
		out.Frames = append(out.Frames, Pose{Config: outside(st.live, now), Up: a.Up, Tools: []int{}})
	}
	out.Config = outside(st.live, got.Config)
	for i, k := range got.Stops {
		h := halt(st.live, want[i].Travel, k)
		out.Halts = append(out.Halts, h)
		if h.Cause == "part" && out.Words == "" {
			out.Words = h.Words
		}
	}
	return out, nil
}

// wants checks that all wanted travels are of one part.
func wants(m *mechanism.Mechanism, in []Want) ([]pipeline.Want, error) {
	if len(in) == 0 || len(in) > 2 {
		return nil, bad("Want one or two travels of one part.")
	}
	var out []pipeline.Want
	for _, w := range in {
		if w.Travel < 0 || w.Travel >= len(m.Travels) || math.IsNaN(w.Value) || math.Abs(w.Value) > 1e5 {
			return nil, bad("There is no travel %d that could be brought to %g.", w.Travel, w.Value)
		}
		t := &m.Travels[w.Travel]
		if t.Part != m.Travels[in[0].Travel].Part {
			return nil, bad("Want one or two travels of one part.")
		}
		out = append(out, pipeline.Want{Travel: w.Travel, Value: inside(t, w.Value)})
	}
	return out, nil
}

// meets tells whether a configuration is in the goal.
func meets(m *mechanism.Mechanism, q []float64) bool {
	for _, b := range m.Goal.Bounds {
		t, v := &m.Travels[b.Travel], q[b.Travel]
		if t.Full {
			v -= 2 * math.Pi * math.Floor(v/(2*math.Pi))
			if b.Lo > b.Hi {
				if v < b.Lo && v > b.Hi {
					return false
				}
				continue
			}
		}
		if v < b.Lo || v > b.Hi {
			return false
		}
	}
	return true
}

// near tells the clearance of a part.
func (s *Server) near(_ http.ResponseWriter, r *http.Request) (any, error) {
	a, st, q, done, err := s.at(r, s.slots)
	if err != nil {
		return nil, err
	}
	defer done()
	g, err := st.live.Nearest(r.Context(), q, a.Part)
	if err != nil {
		return nil, err
	}
	out := Near{Other: g.Other, Clearance: g.Clearance, Words: "nothing near"}
	switch {
	case g.Other >= 0 && g.Clearance == 0:
		out.Words = "touches " + wording.Part(st.live.Mechanism, g.Other) + " as drawn"
	case g.Other >= 0:
		out.Words = fmt.Sprintf("%s clear of %s as drawn", wording.Length(g.Clearance), wording.Part(st.live.Mechanism, g.Other))
	}
	return out, nil
}
