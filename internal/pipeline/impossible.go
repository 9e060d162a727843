package pipeline

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/proof"

	"golang.org/x/sync/errgroup"
)

// impossible hands the answers "no" to the checker: the closed set of each, and,
// for every need that such a set rests on, the witness of every blocked cell.
func (c *checker) impossible(o Options) (*said, error) {
	if s := c.witnesses.said; s != nil {
		return s, nil // of the same answers, when the growths asked stood
	}
	s, err := c.refuted(c.result.Certificates, o)
	c.witnesses.said = s
	return s, err
}

// fewest hands to the checker that no way has fewer moves than told, where the hand alone
// moves the parts; what is taken for blocked for it is that of the growths asked.
func (c *checker) fewest() error {
	r := c.result
	if r.Way == nil || len(r.Way.Moves) == 0 || c.out.Hands != nil {
		return nil
	}
	name := fmt.Sprintf("no way has fewer than %d moves", r.Way.Least)
	if r.Ladder == nil {
		return c.note(name, "", fmt.Errorf("%w: it rests on the first method alone", proof.ErrOpen))
	}
	l := r.Ladder
	if len(l.Reached) != r.Way.Least {
		return c.note(name, "", fmt.Errorf("%w: it was followed for %d moves", proof.ErrRefused, len(l.Reached)))
	}
	rungs := &proof.Rungs{Space: l.Space, Travels: l.Travels, Free: l.Free, Parts: l.Parts, Reached: l.Reached, Ends: l.Ends}
	if err := c.note(name, "what each move of each part can reach was followed, and misses the goal", proof.Fewest(c.ctx, c.out.Mechanism, rungs, c.out.Mechanism.Goal)); err != nil {
		return err
	}
	cells, err := c.witnesses.drawn()
	if err := c.note("blocked cells as drawn, each by its witness", fmt.Sprintf("%d cells", cells), err); err != nil {
		return err
	}
	border := &proof.Closure{Space: l.Space, Travels: l.Travels, Free: l.Free, Reached: l.Reached[len(l.Reached)-1]}
	if err := c.border(name, border, nil); err != nil {
		return err
	}
	return c.unnamed()
}

// unnamed hands to the checker what every way passes although no step says so, and the
// ways that leave a part where it is.
func (c *checker) unnamed() error {
	r, m := c.result, c.out.Mechanism
	for i := range r.Sides {
		k, to := &r.Sides[i], &r.Required[i]
		closure := &proof.Closure{Space: k.Space, Travels: k.Travels, Free: k.Free, Reached: k.Reached}
		if err := c.note(claim(k), "what can be reached is closed and misses the goal", proof.Closed(c.ctx, m, closure, m.Goal)); err != nil {
			return err
		}
		beyond := mechanism.Bound{Travel: to.Travel, Lo: to.Value, Hi: math.Inf(1)}
		if !to.Rising {
			beyond.Lo, beyond.Hi = math.Inf(-1), to.Value
		}
		if err := c.border(k.What, closure, &mechanism.Region{Bounds: []mechanism.Bound{beyond}}); err != nil {
			return err
		}
	}
	for i, w := range r.Without {
		if w == nil {
			continue
		}
		name := fmt.Sprintf("a way that leaves %s where it is, walked on the meshes", m.Parts[r.Idle[i]].Name)
		if slices.ContainsFunc(w.Moves, func(k motion.Move) bool { return k.Part == r.Idle[i] }) {
			return c.note(name, "", fmt.Errorf("%w: it moves it", proof.ErrRefused))
		}
		if err := c.walked(name, w, &c.said); err != nil {
			return err
		}
	}
	return nil
}

// border looks along the border of what is reached as drawn.
func (c *checker) border(name string, closure *proof.Closure, avoid *mechanism.Region) error {
	looked, err := proof.Covered(c.ctx, c.out.Mechanism, closure, avoid, c.witnesses.ladder, spots)
	return c.note("the border of: "+name, fmt.Sprintf("%d places looked at, each claimed blocked", looked), err)
}

// refuted hands certificates to the checker, with the witnesses of their growths.
func (c *checker) refuted(certs []motion.Certificate, o Options) (*said, error) {
	s := &said{ok: true}
	seen := map[float64]bool{}
	for i := range certs {
		k := &certs[i]
		o.progress("proof", i, len(certs))
		closure := &proof.Closure{Space: k.Space, Travels: k.Travels, Free: k.Free, Reached: k.Reached}
		err := proof.Closed(c.ctx, c.out.Mechanism, closure, c.out.Mechanism.Goal)
		if err := s.note(claim(k), "what can be reached is closed and misses the goal", err); err != nil {
			return nil, err
		}
		if !seen[k.Growth] {
			seen[k.Growth] = true
			cells, err := c.witnesses.at(k.Growth)
			name := fmt.Sprintf("blocked cells at growth %+.3f mm, each by its witness", k.Growth)
			if err := s.note(name, fmt.Sprintf("%d cells", cells), err); err != nil {
				return nil, err
			}
		}
		var avoid *mechanism.Region
		if k.Avoid >= 0 {
			avoid = &c.out.Mechanism.Steps[k.Avoid]
		}
		looked, err := proof.Covered(c.ctx, c.out.Mechanism, closure, avoid, c.witnesses.covers[k.Growth], spots)
		if err := s.note("the border of: "+k.What, fmt.Sprintf("%d places looked at, each claimed blocked", looked), err); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func claim(k *motion.Certificate) string {
	return fmt.Sprintf("no to: %s, at growth %+.3f mm", k.What, k.Growth)
}

// spots is how many places on the border of what was reached are looked at.
const spots = 1000

// blockedAt lists by pair the cells taken for blocked at a growth.
func blockedAt(m *mechanism.Mechanism, ps []*pairMap, growth float64) []proof.Cover {
	out := make([]proof.Cover, len(ps))
	for i, p := range ps {
		a, b := p.Parts()
		out[i].Parts = [2]int{a, b}
		for _, k := range p.Coords() {
			out[i].Coords = append(out[i].Coords, k.Terms)
		}
		k := len(out[i].Coords)
		for cell, w := range p.Witnesses(m.Needs(a, b, growth) - motion.BlockedMargin) {
			out[i].Blocks = append(out[i].Blocks, proof.Block{Lo: append([]float64(nil), cell.Lo[:k]...), Hi: append([]float64(nil), cell.Hi[:k]...), OnA: w.OnA, Point: w.Point})
		}
	}
	return out
}

// witnessing is the cells taken for blocked being checked on the meshes, beside other
// stages.
type witnessing struct {
	group  errgroup.Group
	turn   sync.Mutex                // one after the other: what was shown of less speaks for more
	shown  []shown                   // by pair
	covers map[float64][]proof.Cover // by growth
	told   map[float64]error
	said   *said // of the answers at the growths asked, once they were checked

	ladder   []proof.Cover // as drawn, when the ladder was made
	laddered error
}

// begin lists, for every growth at which something is told impossible, the cells taken
// for blocked, and sets out to check their witnesses. The maps may be refined from then
// on: what is claimed of them has been read. It may be called again for other growths.
func (w *witnessing) begin(ctx context.Context, out *Outcome, ps []*pairMap, certs []motion.Certificate) {
	if w.covers == nil {
		w.covers, w.told, w.shown = map[float64][]proof.Cover{}, map[float64]error{}, make([]shown, len(ps))
	}
	var growths []float64
	for i := range certs {
		g := certs[i].Growth
		if _, ok := w.covers[g]; !ok && certs[i].Space != nil {
			w.covers[g] = blockedAt(out.Mechanism, ps, g)
			growths = append(growths, g)
		}
	}
	slices.Sort(growths) // the least needs first, which speak for the greater ones
	covers := make([][]proof.Cover, len(growths))
	for i, g := range growths {
		covers[i] = w.covers[g]
	}
	w.group.Go(func() error {
		w.turn.Lock()
		defer w.turn.Unlock()
		for i, g := range growths {
			w.told[g] = blocked(ctx, out.Mechanism, treesOf(out.Bodies), covers[i], g, w.shown)
		}
		return nil
	})
}

// climb does the same for the ladder just made, if there is one. A ladder made before must
// have been checked.
func (w *witnessing) climb(ctx context.Context, out *Outcome, ps []*pairMap, l *motion.Ladder) {
	if l == nil || out.Hands != nil {
		return
	}
	covers := blockedAt(out.Mechanism, ps, 0)
	w.ladder = covers
	w.group.Go(func() error {
		w.turn.Lock()
		defer w.turn.Unlock()
		w.laddered = blocked(ctx, out.Mechanism, treesOf(out.Bodies), covers, 0, w.shown)
		return nil
	})
}

// drawn waits for what is told of the ladder's cells, and of how many.
func (w *witnessing) drawn() (cells int, err error) {
	_ = w.wait()
	for _, c := range w.ladder {
		cells += len(c.Blocks)
	}
	return cells, w.laddered
}

func treesOf(bs []Body) []*mesh.Tree {
	out := make([]*mesh.Tree, len(bs))
	for i := range bs {
		out[i] = bs[i].Tree()
	}
	return out
}

// at waits for what is told of a growth, and of how many cells.
func (w *witnessing) at(growth float64) (cells int, err error) {
	_ = w.wait()
	for _, c := range w.covers[growth] {
		cells += len(c.Blocks)
	}
	return cells, w.told[growth]
}

func (w *witnessing) wait() error { return w.group.Wait() }

// shown is what has been shown of a pair: blocks by the least need at which.
type shown map[shownBlock]float64

// shownBlock is a block by its numbers.
type shownBlock struct {
	lo, hi [clearance.MaxCoords]float64
	onA    bool
	point  geom.Vec
}

func blockKey(b *proof.Block) (k shownBlock) {
	copy(k.lo[:], b.Lo)
	copy(k.hi[:], b.Hi)
	k.onA, k.point = b.OnA, b.Point
	return k
}

// blocked checks the witnesses of what is taken for blocked at a growth. What is nearer
// than a smaller need is nearer than this: what was shown of a pair is not asked again.
func blocked(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, covers []proof.Cover, growth float64, known []shown) error {
	for i := range covers {
		c := &covers[i]
		a, b := c.Parts[0], c.Parts[1]
		need := m.Needs(a, b, growth)
		var fresh []proof.Block
		for k := range c.Blocks {
			if n, ok := known[i][blockKey(&c.Blocks[k])]; !ok || n > need {
				fresh = append(fresh, c.Blocks[k])
			}
		}
		if err := proof.Blocked(ctx, m, trees, a, b, c.Coords, need, fresh); err != nil {
			return fmt.Errorf("%s and %s: %w", m.Parts[a].Name, m.Parts[b].Name, err)
		}
		if known[i] == nil {
			known[i] = shown{}
		}
		for k := range fresh {
			known[i][blockKey(&fresh[k])] = need
		}
	}
	return nil
}
