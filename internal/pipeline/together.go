package pipeline

import (
	"cmp"
	"context"
	"math"
	"slices"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
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

// leastGain is the room, mm, that a push must make to count: more than the distances are
// uncertain by.
const leastGain = 1e-5

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

// pushed is a part as it is pushed.
type pushed struct {
	body      *clearance.Body
	far, room float64 // how far it is pushed, and the room that makes with the other as it stands, mm
}

// push measures the room at the tight place for every push of one part and of both; false
// unless pushing both serves at the loose end. What a push moves by is the most that it
// gains, so pushes that are too short for that are not measured further.
func (k *squeeze) push(ctx context.Context, out *Outcome) (verdict.Together, bool) {
	m, loose := out.Mechanism, out.Result.Asked[0]
	var all [2][]pushed // the first as it stands
	var most [2]float64 // the longest push
	for n, part := range k.parts {
		all[n] = k.pushes(m, n, out.Bodies[part].Mesh)
		for _, p := range all[n] {
			most[n] = max(most[n], p.far)
		}
	}
	if all[0] == nil || all[1] == nil {
		return verdict.Together{}, false
	}
	straight, ok := k.room(m, all[0][0].body, all[1][0].body, math.Inf(-1))
	if !ok {
		return verdict.Together{}, false
	}
	t := verdict.Together{Parts: k.parts, Alone: straight / 2, Both: loose}
	var gains [2][]pushed
	for n := range gains {
		gains[n], ok = k.gains(ctx, m, all, n, max(straight+leastGain, togetherNeeds*loose-most[1-n]))
		if !ok || len(gains[n]) == 0 {
			return t, false
		}
	}
	found := false
	for _, a := range gains[0] {
		for _, b := range gains[1] {
			floor := t.Both * togetherNeeds
			if min(a.room+b.far, b.room+a.far) < floor {
				continue
			}
			room, ok := k.room(m, a.body, b.body, floor)
			if !ok || ctx.Err() != nil {
				return t, false
			}
			if both := room / togetherNeeds; both >= t.Both {
				t.Both, found = both, true
			}
		}
	}
	for n := 0; found && n < len(gains); n++ {
		one, ok := k.gains(ctx, m, all, n, straight+leastGain)
		if !ok {
			return t, false
		}
		if len(one) > 0 {
			t.Alone = max(t.Alone, one[0].room/4) // at a growth g the room is 2 g less, the push 2 g shorter
		}
	}
	return t, found
}

// pushes are the pushes of one of the parts, the first none; nil if one has no body.
func (k *squeeze) pushes(m *mechanism.Mechanism, n int, shape *mesh.Mesh) []pushed {
	pose := m.Pose(k.parts[n], m.Start)
	back := pose.Inverse()
	var out []pushed
	for _, p := range append([]play.Push{{}}, k.plays[n].Pushes...) {
		b, err := clearance.NewBody(shape.Moved(geom.Translation(back.Turn(r3.Scale(p.Far, p.Dir)))))
		if err != nil {
			return nil
		}
		out = append(out, pushed{body: b, far: p.Far})
	}
	return out
}

// gains are the pushes of part n that make more room than floor with the other as it
// stands, the best first.
func (k *squeeze) gains(ctx context.Context, m *mechanism.Mechanism, all [2][]pushed, n int, floor float64) ([]pushed, bool) {
	var out []pushed
	for _, p := range all[n][1:] {
		pair := [2]*clearance.Body{all[0][0].body, all[1][0].body}
		pair[n] = p.body
		room, ok := k.room(m, pair[0], pair[1], floor)
		if !ok || ctx.Err() != nil {
			return nil, false
		}
		if p.room = room; room > floor {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b pushed) int { return cmp.Compare(b.room, a.room) })
	return out, true
}

// room is the least clearance of two bodies over the tight places; no more is told than
// that it is below floor, if it is.
func (k *squeeze) room(m *mechanism.Mechanism, a, b *clearance.Body, floor float64) (float64, bool) {
	c, err := clearance.New(m, k.parts[0], k.parts[1], a, b)
	if err != nil {
		return 0, false
	}
	least := math.Inf(1)
	for i := range togetherPlaces {
		q := k.at[i*(len(k.at)-1)/(togetherPlaces-1)]
		if floor < 0 && !math.IsInf(floor, -1) {
			if deeper, err := c.Deeper(q, -floor); err != nil || deeper {
				return math.Inf(-1), err == nil
			}
		}
		_, room, err := c.At(q)
		if err != nil {
			return 0, false
		}
		least = min(least, room)
	}
	return least, true
}
