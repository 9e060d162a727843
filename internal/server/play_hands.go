package server

import (
	"context"
	"errors"
	"math"
	"net/http"
	"slices"

	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/pipeline"
	"feint/internal/verdict/wording"
)

// situation is where the page says that everything stands.
func (st *staged) situation(q []float64, up int, tools []int, growth float64) (hands.Situation, error) {
	if err := st.attitude(up); err != nil {
		return hands.Situation{}, err
	}
	if growth != 0 {
		return hands.Situation{}, bad("A box in which parts fall or are pushed is played as drawn, not at a growth of %g mm.", growth)
	}
	m := st.live.Mechanism
	if len(tools) == 0 {
		tools = make([]int, len(m.Tools))
	}
	if len(tools) != len(m.Tools) {
		return hands.Situation{}, bad("%d seats for %d tools; give one a tool.", len(tools), len(m.Tools))
	}
	return hands.Situation{Config: q, Up: up, Tools: slices.Clone(tools)}, nil
}

// inHand is where the page says that everything stands, and what answers from there.
func (st *staged) inHand(ctx context.Context, q []float64, up int, tools []int, growth float64) (*hands.Try, hands.Situation, error) {
	at, err := st.situation(q, up, tools, growth)
	if err != nil {
		return nil, at, err
	}
	t, err := st.live.Hands(ctx)
	if err != nil {
		return nil, at, bad("%v", err)
	}
	return t, at, nil
}

// adrift puts an answer of package hands into words.
func adrift(err error) error {
	if errors.Is(err, hands.ErrAdrift) {
		return bad("That cannot be done from here: %v.", hands.ErrAdrift)
	}
	return bad("%v", err)
}

// held opens a request about a box with parts that fall and are pushed.
func (s *Server) held(a *Spot) (*staged, hands.Situation, error) {
	st, q, err := s.spot(a.Stage, a.Config, a.Part, a.Growth)
	if err != nil {
		return nil, hands.Situation{}, err
	}
	at, err := st.situation(q, a.Up, a.Tools, a.Growth)
	return st, at, err
}

// begin tells where everything has come to rest before anybody moves.
func (s *Server) begin(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a Spot
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	st, at, err := s.held(&a)
	if err != nil {
		return nil, err
	}
	if !st.live.Directed() {
		return st.still(at), nil
	}
	t, err := st.live.Hands(r.Context())
	if err != nil {
		return nil, bad("%v", err)
	}
	out := st.still(t.Start())
	out.Goal = t.Goal(t.Start())
	return out, nil
}

// still is an answer in which nothing moves.
func (st *staged) still(at hands.Situation) Pulled {
	p := st.pose(at, "")
	return Pulled{
		Config: p.Config, Up: p.Up, Tools: p.Tools, Frames: []Pose{p}, Runs: []Run{}, Halts: []Halt{}, Effects: []Effect{},
		Goal: meets(st.live.Mechanism, at.Config),
	}
}

// turn turns the box; what can fall does.
func (s *Server) turn(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a Turned
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	st, at, err := s.held(&a.Spot)
	if err != nil {
		return nil, err
	}
	if err := st.attitude(a.To); err != nil {
		return nil, err
	}
	words := "turn the box so that " + st.view.Ups[a.To].Words
	if !st.live.Directed() {
		at.Up = a.To
		out := st.still(at)
		out.Frames[0].Words = words
		return out, nil
	}
	t, err := st.live.Hands(r.Context())
	if err != nil {
		return nil, bad("%v", err)
	}
	c, err := t.Turn(at, a.To)
	if err != nil {
		return nil, adrift(err)
	}
	return st.came(t, c, words), nil
}

// take takes a tool out and puts it in elsewhere.
func (s *Server) take(_ http.ResponseWriter, r *http.Request) (any, error) {
	var a Taken
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	st, at, err := s.held(&a.Spot)
	if err != nil {
		return nil, err
	}
	m := st.live.Mechanism
	if a.Tool < 0 || a.Tool >= len(m.Tools) || a.Seat < 0 || a.Seat >= len(m.Tools[a.Tool].Seats) {
		return nil, bad("There is no tool %d with a seat %d.", a.Tool, a.Seat)
	}
	t, err := st.live.Hands(r.Context())
	if err != nil {
		return nil, bad("%v", err)
	}
	c, err := t.Take(at, a.Tool, a.Seat)
	if errors.Is(err, hands.ErrAdrift) {
		return nil, bad("From here %s does not come out, or does not go in there: bring the part to where it comes out first.", m.Tools[a.Tool].Name)
	}
	if err != nil {
		return nil, adrift(err)
	}
	part := m.Tools[a.Tool].Seats[a.Seat].Part
	return st.came(t, c, "put "+m.Tools[a.Tool].Name+" in as "+wording.Part(m, part)), nil
}

// came is an answer for the page.
func (st *staged) came(t *hands.Try, c hands.Came, words string) Pulled {
	out := st.still(c.To)
	out.Goal = t.Goal(c.To)
	out.Frames = []Pose{}
	for _, f := range c.Frames {
		out.Frames = append(out.Frames, st.pose(f, words))
	}
	m := st.live.Mechanism
	for i, words := range wording.Effects(m, c.Effects) {
		e := &c.Effects[i]
		out.Effects = append(out.Effects, Effect{m.Travels[e.Travel].Part, wording.Cause(e.Cause), words})
	}
	return out
}

// pose is a situation for the page.
func (st *staged) pose(at hands.Situation, words string) Pose {
	return Pose{Config: outside(st.live, at.Config), Up: at.Up, Tools: append([]int{}, at.Tools...), Words: words}
}

// handPull draws a part of a box with parts that fall and are pushed.
func (st *staged) handPull(ctx context.Context, a *Pull, q []float64, want []pipeline.Want) (any, error) {
	t, at, err := st.inHand(ctx, q, a.Up, a.Tools, a.Growth)
	if err != nil {
		return nil, err
	}
	m := st.live.Mechanism
	for _, w := range want {
		if k := &m.Travels[w.Travel]; k.Moved != mechanism.ByHand {
			return nil, bad("No hand moves %s: it is moved by %s.", wording.Part(m, k.Part), k.Moved)
		}
	}
	d := &drawing{t: t, want: want, at: at, last: make([]hands.Came, len(want))}
	if err := d.draw(!a.Hold); err != nil {
		return nil, adrift(err)
	}
	out := st.came(t, hands.Came{To: d.at, Frames: d.frames, Effects: d.effects}, "")
	out.Released = d.released
	for _, k := range d.runs {
		tr := &m.Travels[k.Travel]
		out.Runs = append(out.Runs, Run{k.Travel, wording.Outside(tr, k.From), wording.Outside(tr, k.To)})
	}
	for i, w := range want {
		h := st.handHalt(w.Travel, d.last[i])
		out.Halts = append(out.Halts, h)
		if h.Cause == "part" && out.Words == "" {
			out.Words = h.Words
		}
	}
	return out, nil
}

// handHalt puts what stopped a stroke into words.
func (st *staged) handHalt(travel int, c hands.Came) Halt {
	m := st.live.Mechanism
	h := Halt{At: wording.Outside(&m.Travels[travel], c.To.Config[travel]), By: c.By, Cause: "limit", Words: "as far as it goes"}
	if !c.Stopped || c.By < 0 {
		return h
	}
	h.Cause, h.Words = "part", "stopped by "+wording.Part(m, c.By)
	if c.Yields {
		h.Words += ", which cannot give way here"
	}
	return h
}

// drawing draws one part along one or two travels.
type drawing struct {
	t       *hands.Try
	want    []pipeline.Want
	at      hands.Situation
	frames  []hands.Situation
	effects []hands.Effect
	runs    []pipeline.Run
	last    []hands.Came

	released bool // letting go moved something
}

// rounds bounds how often the travels of a part take turns.
const rounds = 40

// draw moves them one after the other as long as any gets on, and lets go at the
// end if asked to.
func (d *drawing) draw(let bool) error {
	for range rounds {
		moved := false
		for i, w := range d.want {
			before := d.at.Config[w.Travel]
			c, err := d.t.Stroke(d.at, w.Travel, w.Value, false)
			if err != nil {
				return err
			}
			d.take(i, w.Travel, before, c)
			moved = moved || math.Abs(c.To.Config[w.Travel]-before) > d.t.Unit(w.Travel)/2
		}
		if !moved || len(d.want) == 1 {
			break
		}
	}
	if !let {
		return nil
	}
	w := d.want[0].Travel
	c, err := d.t.Stroke(d.at, w, d.at.Config[w], true)
	if err != nil {
		return err
	}
	d.released = len(c.Effects) > 0
	d.note(c)
	return nil
}

// note takes up what came of a stroke; what moves on as before is told once.
func (d *drawing) note(c hands.Came) {
	d.at, d.frames = c.To, append(d.frames, c.Frames...)
	for _, e := range c.Effects {
		i := slices.IndexFunc(d.effects, func(f hands.Effect) bool { return f.Travel == e.Travel && f.Cause == e.Cause })
		if i < 0 {
			d.effects = append(d.effects, e)
			continue
		}
		d.effects[i].To = e.To
	}
}

// take notes what came of one stroke.
func (d *drawing) take(i, travel int, before float64, c hands.Came) {
	d.last[i] = c
	if after := c.To.Config[travel]; after != before {
		if n := len(d.runs); n > 0 && d.runs[n-1].Travel == travel {
			d.runs[n-1].To = after
		} else {
			d.runs = append(d.runs, pipeline.Run{Travel: travel, From: before, To: after})
		}
	}
	d.note(c)
}

// handRooms tells how far the travels of a part go that the hand moves; others have
// no room.
func (st *staged) handRooms(ctx context.Context, a *Spot, q []float64) (any, error) {
	t, at, err := st.inHand(ctx, q, a.Up, a.Tools, a.Growth)
	if err != nil {
		return nil, err
	}
	m := st.live.Mechanism
	out := Rooms{Part: a.Part, Rooms: []Room{}}
	for _, k := range m.Parts[a.Part].Travels {
		tr := &m.Travels[k]
		if tr.Moved != mechanism.ByHand {
			continue
		}
		lo, hi := tr.Lo, tr.Hi
		if tr.Full {
			lo, hi = q[k]-2*math.Pi, q[k]+2*math.Pi
		}
		down, err := t.Stroke(at, k, lo, false)
		if err != nil {
			return nil, adrift(err)
		}
		up, err := t.Stroke(at, k, hi, false)
		if err != nil {
			return nil, adrift(err)
		}
		o := Room{Travel: k, Lo: st.handHalt(k, down), Hi: st.handHalt(k, up), Turns: tr.Full && !down.Stopped && !up.Stopped}
		o.Words = "from " + wording.Number(o.Lo.At, 2) + " to " + wording.Number(o.Hi.At, 2) + " " + wording.Unit(tr)
		if o.Turns {
			o.Words = "all the way round"
		}
		out.Rooms = append(out.Rooms, o)
	}
	return out, nil
}

// seatOf is the tool and its seat that a part is.
func seatOf(m *mechanism.Mechanism, part int) (tool, seat int) {
	for i := range m.Tools {
		for k, s := range m.Tools[i].Seats {
			if s.Part == part {
				return i, k
			}
		}
	}
	return -1, -1
}
