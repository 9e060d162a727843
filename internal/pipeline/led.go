package pipeline

import (
	"context"
	"errors"
	"fmt"

	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/proof"
	"feint/internal/verdict"
)

// directed replays on the meshes every way on which answers of the directed law rest, and
// names the answers "no" that rest on it alone.
func (c *checker) directed(h *hands.Result, o Options) error {
	m := c.out.Mechanism
	type claim struct {
		name  string
		way   *hands.Way
		avoid int
	}
	claims := []claim{
		{"the way, led on the meshes as drawn", h.Way, -1},
		{"a way at the tight end, led on the meshes", h.Tight.Way, -1},
		{"a way at the loose end, led on the meshes", h.Loose.Way, -1},
	}
	for i := range h.Steps {
		name := fmt.Sprintf("the shortcut past %q, led on the meshes", m.Steps[i].Name)
		claims = append(claims, claim{name, h.Steps[i].Shortcut, i})
	}
	for i, k := range claims {
		o.progress("proof", i, len(claims))
		if k.way == nil {
			continue
		}
		if err := c.led(k.name, k.way, k.avoid, &c.said); err != nil {
			return err
		}
	}
	if t := &h.Trap; t.In != nil {
		// it does not touch the verdict: what could not be told leaves that certified
		c.checks = append(c.checks, verdict.Check{Name: "the way into a trap, and that none leads out of it, as drawn", Agreed: t.Followed == motion.Yes, Detail: t.Detail})
	}
	if k := &h.Return; k.Detail != "" { // nor does this
		name := "that nothing leads back to the start, as drawn"
		if h.Reset.Possible != motion.No {
			name = "a way there and back, led on the meshes as drawn"
		}
		c.checks = append(c.checks, verdict.Check{Name: name, Agreed: k.Followed == motion.Yes, Detail: k.Detail})
	}
	for i := range h.Noes {
		if err := directedNo(&h.Noes[i], &c.said); err != nil {
			return err
		}
	}
	return nil
}

// led leads a directed way on the meshes and notes what comes of it.
func (c *checker) led(name string, w *hands.Way, avoid int, s *said) error {
	rep, err := c.out.leader.lead(c.ctx, w, avoid)
	return s.note(name, fmt.Sprintf("%d moves at growth %+.3f mm: parts pushed %d times, %d falls, %d runs", rep.Deeds, w.Growth, rep.Pushed, rep.Fallen, rep.Runs), err)
}

// directedNo notes what following an answer "no" of the directed law came to.
func directedNo(n *hands.No, s *said) error {
	err := n.Err
	if errors.Is(err, hands.ErrNotFollowed) {
		err = fmt.Errorf("%w: %w", proof.ErrOpen, err)
	}
	return s.note(fmt.Sprintf("no to: %s, at growth %+.3f mm, as parts fall and are pushed", n.What, n.Growth), n.Detail, err)
}

// told is a directed way as the checker reads it.
func told(w *hands.Way, avoid *mechanism.Region) *proof.Directed {
	d := &proof.Directed{Growth: w.Growth, Up: w.Up, Start: w.Start, Near: w.Rounding, Avoid: avoid}
	for i := range w.Moves {
		m := &w.Moves[i]
		deed := proof.Deed{Told: m.After}
		switch m.Kind {
		case hands.Turn:
			deed.Kind, deed.Up = proof.TurnBox, m.Up
		case hands.Take:
			deed.Kind, deed.From, deed.To = proof.CarryTool, m.From, m.Part
		default:
			deed.Kind = proof.LeadPart
			for _, s := range m.Strokes {
				deed.Strokes = append(deed.Strokes, proof.Stroke{Part: m.Part, Travel: s.Travel, From: s.From, To: s.To})
			}
		}
		d.Deeds = append(d.Deeds, deed)
	}
	return d
}

// leader replays directed ways on the bodies, each once, and has answers "no" followed.
type leader struct {
	out   *Outcome
	trees []*mesh.Tree
	known map[*hands.Way]*replayed
	shown []shown // of the cells taken for blocked, by pair
}

type replayed struct {
	report *proof.DirectedReport
	err    error
	done   chan struct{}
	told   bool
}

func newLeader(out *Outcome) *leader {
	return &leader{out: out, known: map[*hands.Way]*replayed{}, trees: treesOf(out.Bodies)}
}

// begin sets out to replay a way, out of the avoided step if that is not negative.
func (l *leader) begin(ctx context.Context, w *hands.Way, avoid int) *replayed {
	if k, ok := l.known[w]; ok {
		return k
	}
	var region *mechanism.Region
	if avoid >= 0 {
		region = &l.out.Mechanism.Steps[avoid]
	}
	k, box, d := &replayed{done: make(chan struct{})}, l.out.weighed(), told(w, region)
	l.known[w] = k
	go func() {
		defer close(k.done)
		k.report, k.err = proof.Led(ctx, l.out.Mechanism, l.trees, box.Carried, d)
	}()
	return k
}

// lead replays a way.
func (l *leader) lead(ctx context.Context, w *hands.Way, avoid int) (*proof.DirectedReport, error) {
	k := l.begin(ctx, w, avoid)
	<-k.done
	if k.err == nil && !k.told { // the bodies know better than units how far something is pushed
		k.told = true
		w.Corrected(l.out.Mechanism, k.report.Stands)
	}
	return k.report, k.err
}

// exists asks the checker whether a directed way exists at its growth.
func (l *leader) exists(ctx context.Context) func(*hands.Way, int) motion.Answer {
	return func(w *hands.Way, avoid int) motion.Answer {
		switch _, err := l.lead(ctx, w, avoid); {
		case err == nil:
			return motion.Yes
		case errors.Is(err, proof.ErrRefused):
			return motion.No
		default:
			return motion.Undecided
		}
	}
}
