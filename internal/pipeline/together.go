package pipeline

import (
	"context"
	"math"
	"slices"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/play"
	"feint/internal/verdict"

	"gonum.org/v1/gonum/spatial/r3"
)

// togetherPlaces is at how many places of a tight stroke pushed parts are measured.
const togetherPlaces = 5

// togetherNeeds is by how much the room of two pushed parts changes with growth: two
// surfaces at the gate and two in each guide.
const togetherNeeds = 6

// bothPushed looks for shortcuts that one pair of parts alone stops, and measures whether
// they have room where the two are pushed within their guides, one alone or both at once.
// Every push is one of those that were measured, whole, in its direction.
func bothPushed(ctx context.Context, out *Outcome, ps []*pairMap, plays []play.Play) ([]verdict.Together, error) {
	if out.Result == nil { // a mesh is broken: nothing was searched
		return nil, nil
	}
	j := out.Result.Judge()
	if j == nil || out.Hands != nil || out.Result.Drawn.Opens != motion.Yes {
		return nil, nil
	}
	var found []verdict.Together
	for n, parts := range j.Pairs() {
		k := &squeeze{parts: parts}
		if !k.guided(out.Mechanism, plays) {
			continue
		}
		for i := range out.Result.Steps {
			s := &out.Result.Steps[i]
			if s.HoldsTo > out.Result.Asked[0] { // parts held straight leave it out
				continue
			}
			way := j.PastWithout(s.Index, n)
			if way == nil {
				continue
			}
			if near, err := k.walk(ctx, out, way, ps); err != nil || !near {
				if err != nil {
					return found, err
				}
				continue
			}
			t, ok := k.push(ctx, out)
			if t.Step = s.Index; ok {
				found = append(found, t)
			}
		}
	}
	return found, ctx.Err()
}

// squeeze is the pair of parts that a shortcut has no room at, and where.
type squeeze struct {
	parts [2]int
	at    [][]float64 // configurations
	plays [2]*play.Play
}

// walk notes where the two parts have no room on a way at the loose end; false if there is
// no such place, or one so tight that no push can make room: what each part moves by is
// the most that it can gain.
func (k *squeeze) walk(ctx context.Context, out *Outcome, w *motion.Way, ps []*pairMap) (bool, error) {
	p := between(ps, k.parts[0], k.parts[1])
	if p == nil {
		return false, nil
	}
	m, loose := out.Mechanism, out.Result.Asked[0]
	most := k.plays[0].Sideways + k.plays[1].Sideways
	k.at = nil
	q := slices.Clone(m.Start)
	for i := range w.Moves {
		v := &w.Moves[i]
		for _, s := range v.Strokes {
			if v.Part != k.parts[0] && v.Part != k.parts[1] {
				q[s.Travel] = s.To
				continue
			}
			for n := range remedyLooks + 1 {
				q[s.Travel] = s.From + (s.To-s.From)*float64(n)/remedyLooks
				_, room, err := p.At(q)
				if err != nil || ctx.Err() != nil {
					return false, err
				}
				if room+most < togetherNeeds*loose {
					return false, nil
				}
				if room < m.Needs(k.parts[0], k.parts[1], loose) {
					k.at = append(k.at, slices.Clone(q))
				}
			}
		}
	}
	return len(k.at) > 0, ctx.Err()
}

// guided takes the play of both parts; false unless each has one that the other does not
// stop.
func (k *squeeze) guided(m *mechanism.Mechanism, plays []play.Play) bool {
	for n, part := range k.parts {
		i := slices.IndexFunc(plays, func(p play.Play) bool { return p.Part == part })
		if i < 0 || plays[i].Unguided || plays[i].Immovable || m.Parts[part].Carrier == k.parts[1-n] || len(plays[i].Guides) > 1 {
			return false
		}
		k.plays[n] = &plays[i]
	}
	return true
}

// push measures the room at the tight place for every push of one part and of both.
func (k *squeeze) push(ctx context.Context, out *Outcome) (verdict.Together, bool) {
	m := out.Mechanism
	var bodies [2][]*clearance.Body // as they stand, then pushed
	for n, part := range k.parts {
		shifts := []geom.Vec{{}}
		pose := m.Pose(part, m.Start)
		back := pose.Inverse()
		for _, p := range k.plays[n].Pushes {
			shifts = append(shifts, back.Turn(r3.Scale(p.Far, p.Dir)))
		}
		for _, v := range shifts {
			b, err := clearance.NewBody(out.Bodies[part].Mesh.Moved(geom.Translation(v)))
			if err != nil {
				return verdict.Together{}, false
			}
			bodies[n] = append(bodies[n], b)
		}
	}
	straight, ok := k.room(m, bodies[0][0], bodies[1][0])
	if !ok {
		return verdict.Together{}, false
	}
	t := verdict.Together{Parts: k.parts, Alone: straight / 2, Both: math.Inf(-1)}
	var gains [2][]*clearance.Body // pushes that make room by themselves
	for n := range bodies {
		for _, b := range bodies[n][1:] {
			pair := [2]*clearance.Body{bodies[0][0], bodies[1][0]}
			pair[n] = b
			room, ok := k.room(m, pair[0], pair[1])
			if !ok || ctx.Err() != nil {
				return t, false
			}
			if room > straight {
				gains[n] = append(gains[n], b)
				t.Alone = max(t.Alone, room/4) // at a growth g the room is 2 g less, the push 2 g shorter
			}
		}
	}
	for _, a := range gains[0] {
		for _, b := range gains[1] {
			room, ok := k.room(m, a, b)
			if !ok || ctx.Err() != nil {
				return t, false
			}
			t.Both = max(t.Both, room/togetherNeeds)
		}
	}
	return t, true
}

// room is the least clearance of two bodies over the tight places.
func (k *squeeze) room(m *mechanism.Mechanism, a, b *clearance.Body) (float64, bool) {
	c, err := clearance.New(m, k.parts[0], k.parts[1], a, b)
	if err != nil {
		return 0, false
	}
	least := math.Inf(1)
	for i := range togetherPlaces {
		_, room, err := c.At(k.at[i*(len(k.at)-1)/(togetherPlaces-1)])
		if err != nil {
			return 0, false
		}
		least = min(least, room)
	}
	return least, true
}
