package pipeline

import (
	"context"
	"fmt"
	"sync"

	"feint/internal/clearance"
	"feint/internal/mechanism"
)

// Live is a design whose parts are built, ready to be handled: it tells how far
// a part can go from any configuration, and how near it stands to the others.
// Its methods may be called by several goroutines at once; a Live never changes
// what it answers, it only comes to know more (Learn).
type Live struct {
	Mechanism *mechanism.Mechanism
	Bodies    []Body

	opts Options

	mu    sync.Mutex
	pairs map[[2]int]*livePair // by part, the lower first; nil until first asked

	played, ahead laidOut
}

// livePair is what is known of two parts.
type livePair struct {
	m     *clearance.Map
	known *cellIndex // nil where nothing was mapped
}

// Build loads a design and builds its parts, without proving anything.
func Build(ctx context.Context, path string, o Options) (*Live, error) {
	m, err := Load(path, o)
	if err != nil {
		return nil, err
	}
	l := &Live{Mechanism: m, opts: o}
	if l.Bodies, err = bodies(ctx, m, o); err != nil {
		return nil, err
	}
	return l, nil
}

// Learn takes up what a proof has put into the cache since: large cells in which
// no two parts can touch, so that long strokes need few distances.
func (l *Live) Learn(ctx context.Context) error {
	ps, err := l.open(ctx)
	if err != nil {
		return err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.pairs = ps
	return nil
}

// open makes the maps of all pairs with sound meshes, as the cache knows them.
func (l *Live) open(ctx context.Context) (map[[2]int]*livePair, error) {
	ps, _, err := maps(ctx, l.Mechanism, l.Bodies, recall(l.Mechanism, l.Bodies, l.opts), l.opts)
	if err != nil {
		return nil, err
	}
	out := map[[2]int]*livePair{}
	for _, p := range ps {
		a, b := p.Parts()
		out[[2]int{min(a, b), max(a, b)}] = &livePair{m: p.Map, known: newCellIndex(p.Map)}
	}
	return out, nil
}

// pair gives what is known of two parts, nil if a mesh is broken.
func (l *Live) pair(ctx context.Context, a, b int) (*livePair, error) {
	l.mu.Lock()
	ps := l.pairs
	l.mu.Unlock()
	if ps == nil {
		if err := l.Learn(ctx); err != nil {
			return nil, err
		}
		l.mu.Lock()
		ps = l.pairs
		l.mu.Unlock()
	}
	return ps[[2]int{min(a, b), max(a, b)}], nil
}

// Check tells what is wrong with a configuration and a part, nil if nothing:
// the wrong number of values, a value outside the limits of its travel, or no
// such part.
func (l *Live) Check(q []float64, part int) error {
	m := l.Mechanism
	if len(q) != len(m.Travels) {
		return fmt.Errorf("a configuration of %d values for %d travels; give one value a travel", len(q), len(m.Travels))
	}
	for i, v := range q {
		t := &m.Travels[i]
		if !(v >= t.Lo-limitError && v <= t.Hi+limitError) && (!t.Full || v != v) {
			return fmt.Errorf("travel %q of %q cannot stand at %g; its limits are %g and %g (mm or radians)", t.Name, m.Parts[t.Part].Name, v, t.Lo, t.Hi)
		}
	}
	if part < 0 || part >= len(m.Parts) {
		return fmt.Errorf("there is no part %d; there are %d", part, len(m.Parts))
	}
	return nil
}

// limitError is how far a value may lie outside the limits of its travel, mm or
// radians: the rounding of a value sent as decimal digits.
const limitError = 1e-6

// Gap is how near two parts stand.
type Gap struct {
	Other     int     // the other part
	Clearance float64 // mm; negative is the depth of an overlap
}

// Nearest gives, for a part in a configuration, its clearance to the part that it
// stands nearest to, Other -1 if there is none. What it carries moves with it and
// does not count.
func (l *Live) Nearest(ctx context.Context, q []float64, part int) (Gap, error) {
	best := Gap{Other: -1}
	if err := l.Check(q, part); err != nil {
		return best, err
	}
	for o := range l.Mechanism.Parts {
		if o == part || len(l.Mechanism.Between(part, o)) == 0 {
			continue
		}
		p, err := l.pair(ctx, part, o)
		if err != nil {
			return best, err
		}
		if p == nil {
			continue
		}
		c, err := l.between(p, part, o, q)
		if err != nil {
			return best, err
		}
		if best.Other < 0 || c < best.Clearance {
			best = Gap{Other: o, Clearance: c}
		}
		if ctx.Err() != nil {
			return best, ctx.Err()
		}
	}
	return best, nil
}

// between is the clearance of two parts; 0 where they overlap by no more than liveTouch,
// which is much cheaper to know than by how much.
func (l *Live) between(p *livePair, a, b int, q []float64) (float64, error) {
	rel := l.Mechanism.Pose(a, q).Then(l.Mechanism.Pose(b, q).Inverse())
	if d, _, _ := l.Bodies[a].Tree().Distance(l.Bodies[b].Tree(), rel, liveFar); d == 0 {
		if deeper, err := p.m.Deeper(q, liveTouch); !deeper || err != nil {
			return 0, err
		}
	}
	lower, upper, err := p.m.At(q)
	return (lower + upper) / 2, err
}

// Grams is the mass of a part, of its mesh as drawn and the density of its
// material, printed solid.
func (l *Live) Grams(part int) float64 {
	return l.Bodies[part].Mesh.Volume() / 1000 * l.Mechanism.Parts[part].Material.Density
}
