package pipeline

import (
	"context"
	"math"
	"slices"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/play"
	"feint/internal/verdict"
)

// pryMost is the overlap from which nothing is asked, beyond what tipping can undo, mm:
// more than any rule tells.
const pryMost = 0.6

// pryStretch is how far a lid is followed from where it meets its latch, mm: once its edge
// is so far past, what is left of the way is wedged open (common practice, no source).
const pryStretch = 1.5

// pries measures every part whose slide is the goal against what stops it at the start:
// how far they overlap on its way, as it stands and tipped as far as its play lets it.
func pries(ctx context.Context, out *Outcome, ps []*pairMap, plays []play.Play) ([]verdict.Pry, error) {
	m := out.Mechanism
	if out.Result == nil {
		return nil, nil
	}
	var found []verdict.Pry
	for _, b := range m.Goal.Bounds {
		t := &m.Travels[b.Travel]
		i := slices.IndexFunc(plays, func(p play.Play) bool { return p.Part == t.Part })
		if t.Kind != mechanism.Slide || t.Moved != mechanism.ByHand || i < 0 || plays[i].Unguided || plays[i].Immovable {
			continue
		}
		k := &lever{ctx: ctx, out: out, ps: ps, travel: b.Travel, lid: &plays[i], to: b.Lo}
		if m.Start[b.Travel] > b.Hi {
			k.to = b.Hi
		}
		p, ok, err := k.pry()
		if err != nil {
			return found, err
		}
		if ok {
			found = append(found, p)
		}
	}
	return found, ctx.Err()
}

// lever is a lid on its way out.
type lever struct {
	ctx    context.Context
	out    *Outcome
	ps     []*pairMap
	travel int
	lid    *play.Play
	to     float64 // where the goal begins
}

// latch is a part that stops the lid.
type latch struct {
	part  int
	depth float64     // of the overlap on the way, mm
	at    [][]float64 // configurations
	body  *clearance.Body
}

// pry tips the lid every way its play lets it, and tells of the best.
func (k *lever) pry() (verdict.Pry, bool, error) {
	ls, ok, err := k.latches()
	if !ok || len(ls) == 0 {
		return verdict.Pry{}, false, err
	}
	m := k.out.Mechanism
	pose := m.Pose(k.lid.Part, m.Start)
	best := verdict.Pry{Lid: k.lid.Part, Left: math.Inf(1)}
	for _, t := range k.lid.Tilts {
		for _, sign := range []float64{1, -1} {
			// as drawn: to the start, tipped there, and back
			g := pose.Then(geom.Rotation(geom.Line{Point: k.lid.Middle, Dir: t.Axis}, sign*t.Angle)).Then(pose.Inverse())
			tipped, err := clearance.NewBody(k.out.Bodies[k.lid.Part].Mesh.Moved(g))
			if err != nil {
				return best, false, nil // a mesh that cannot be asked tells nothing
			}
			left, worst := math.Inf(-1), 0
			for n := range ls {
				d, ok := k.left(tipped, &ls[n], best.Left)
				if !ok || k.ctx.Err() != nil {
					return best, false, k.ctx.Err()
				}
				if d > left {
					left, worst = d, n
				}
				if left >= best.Left {
					break // tipped another way it passes better
				}
			}
			if left < best.Left {
				best.Latch, best.Overlap, best.Left, best.Angle = ls[worst].part, ls[worst].depth, left, t.Angle
			}
		}
	}
	return best, !math.IsInf(best.Left, 1), nil
}

// latches lists what stops the lid on its way, the others where they start; false if one
// overlaps by more than tipping can undo, or guides it.
func (k *lever) latches() ([]latch, bool, error) {
	m := k.out.Mechanism
	loose := 2 * k.out.Result.Asked[0]
	from := m.Start[k.travel]
	var ls []latch
	for _, p := range k.ps {
		a, b := p.Parts()
		if a != k.lid.Part && b != k.lid.Part {
			continue
		}
		l := latch{part: a + b - k.lid.Part}
		q, met := slices.Clone(m.Start), 0.0
		looks := max(1, math.Ceil(math.Abs(k.to-from)/(pryStretch/togetherPlaces)))
		for n := 0.0; n <= looks; n++ {
			q[k.travel] = from + (k.to-from)*n/looks
			if len(l.at) > 0 && math.Abs(q[k.travel]-met) > pryStretch {
				break
			}
			if !k.meets(a, b, q) {
				continue
			}
			_, room, err := p.At(q)
			switch {
			case err != nil || k.ctx.Err() != nil:
				return nil, false, err
			case slices.Contains(k.lid.Guides, l.part), room+k.lid.TipReach < loose-pryMost:
				return nil, false, nil
			case len(l.at) == 0:
				met = q[k.travel]
			}
			l.depth = max(l.depth, -room)
			l.at = append(l.at, slices.Clone(q))
		}
		if len(l.at) > 0 {
			ls = append(ls, l)
		}
	}
	return ls, true, nil
}

// meets tells whether the surfaces of two parts cross in a configuration.
func (k *lever) meets(a, b int, q []float64) bool {
	m, bs := k.out.Mechanism, k.out.Bodies
	back := m.Pose(b, q).Inverse()
	d, _, _ := bs[a].Tree().Distance(bs[b].Tree(), m.Pose(a, q).Then(back), touching)
	return d < touching
}

// left is the overlap of the tipped lid with a latch on its way, mm; negative where it
// passes. From enough on it may be told too small, but no less than enough.
func (k *lever) left(tipped *clearance.Body, l *latch, enough float64) (float64, bool) {
	var err error
	if l.body == nil {
		if l.body, err = k.out.Bodies[l.part].Clearance(); err != nil {
			return 0, false
		}
	}
	a, b, x, y := k.lid.Part, l.part, tipped, l.body
	if a > b {
		a, b, x, y = b, a, y, x
	}
	c, err := clearance.New(k.out.Mechanism, a, b, x, y)
	if err != nil {
		return 0, false
	}
	most := math.Inf(-1)
	for i := range togetherPlaces {
		_, room, err := c.At(l.at[i*(len(l.at)-1)/(togetherPlaces-1)])
		if err != nil {
			return 0, false
		}
		if most = max(most, -room); most >= enough {
			break
		}
	}
	return most, true
}
