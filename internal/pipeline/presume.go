package pipeline

import (
	"bytes"
	"context"
	"encoding/gob"
	"fmt"
	"iter"
	"math"

	"feint/internal/cache"
	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/proof"
	"feint/internal/verdict"

	"golang.org/x/sync/errgroup"
)

// presumable is what was found at the growths asked, as it is kept: after a change of
// the design it is tried whether it still holds, which costs far less than finding it.
type presumable struct {
	Growth [2]float64
	Moves  []motion.Move
	Hashes []string // of the meshes, by part
	Pairs  []presumablePair
}

// presumablePair is what is taken for blocked of a pair.
type presumablePair struct {
	A, B   int
	Key    string // of the travels between them
	Coords []clearance.Coord
	Cells  []presumableCell // they tile the coordinates
}

// presumableCell is one leaf of a map; where Upper is +Inf nothing is known of it.
type presumableCell struct {
	Lo, Hi [clearance.MaxCoords]float64
	Upper  float64 // the clearance is no greater in all of the cell, mm
	OnA    bool    // which Point shows, of part A or B as drawn
	Point  geom.Vec
}

// presumeKey is where it is kept what was found of a design; params do not count.
func presumeKey(m *mechanism.Mechanism) string { return cache.Key("presumed 1", lastKey(m)) }

// learn keeps what was found, if it is of the kind that can be presumed.
func learn(out *Outcome, ps []*pairMap, r *motion.Result, o Options) {
	if o.Cache == nil || o.Flare || r.Way == nil || r.Tight.Opens != motion.Yes || r.Way.Least < len(r.Way.Moves) {
		return
	}
	for i := range r.Steps {
		if s := &r.Steps[i]; s.Unavoidable != motion.Yes || s.Bypass != nil || s.BypassPlay != nil {
			return
		}
	}
	m := out.Mechanism
	k := presumable{Growth: o.Growth}
	for _, v := range r.Way.Moves {
		v.Clearance, v.Against = math.Inf(1), -1 // known only of the parts as they were
		k.Moves = append(k.Moves, v)
	}
	for i := range out.Bodies {
		k.Hashes = append(k.Hashes, out.Bodies[i].Hash)
	}
	for _, p := range ps {
		k.Pairs = append(k.Pairs, presumablePairOf(m, p))
	}
	var buf bytes.Buffer
	if gob.NewEncoder(&buf).Encode(&k) == nil {
		_ = o.Cache.Put(presumeKey(m), buf.Bytes())
	}
}

func presumablePairOf(m *mechanism.Mechanism, p *pairMap) presumablePair {
	a, b := p.Parts()
	out := presumablePair{A: a, B: b, Key: clearance.Key(m, a, b), Coords: p.Coords()}
	shown := map[[2][clearance.MaxCoords]float64]clearance.Witness{}
	for c, w := range p.Witnesses(m.Needs(a, b, 0) - motion.BlockedMargin) {
		shown[[2][clearance.MaxCoords]float64{c.Lo, c.Hi}] = w
	}
	for c := range p.Cells() {
		cell := presumableCell{Lo: c.Lo, Hi: c.Hi, Upper: math.Inf(1)}
		if w, ok := shown[[2][clearance.MaxCoords]float64{c.Lo, c.Hi}]; ok {
			cell.Upper, cell.OnA, cell.Point = c.Upper, w.OnA, w.Point
		}
		out.Cells = append(out.Cells, cell)
	}
	return out
}

// presumedMap is a presumablePair as motion sees it, with what was shown anew.
type presumedMap struct {
	pair   *presumablePair
	upper  []float64     // by cell
	blocks []proof.Block // by cell, where something was shown
}

func (p *presumedMap) Parts() (a, b int)         { return p.pair.A, p.pair.B }
func (p *presumedMap) Coords() []clearance.Coord { return p.pair.Coords }

// Refine leaves the map as it is: what it does not show is asked of a map of the parts.
func (p *presumedMap) Refine(context.Context, []float64, float64) error { return nil }

func (p *presumedMap) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		for i := range p.pair.Cells {
			c := &p.pair.Cells[i]
			if !yield(clearance.Cell{Lo: c.Lo, Hi: c.Hi, Lower: math.Inf(-1), Upper: p.upper[i]}) {
				return
			}
		}
	}
}

// presume tries whether what was found before the parts changed still holds, and tells it
// if the checker shows all of it on the parts as they are now: the way at the tight end,
// and that what is blocked leaves no way with fewer moves or past a step. Where anything
// stands in the way of that, nothing is told: all is then asked in earnest.
func (p *proving) presume(ctx context.Context) error {
	k := p.presumable()
	if k == nil {
		return nil
	}
	out := *p.out
	maps, err := k.shown(ctx, &out, p.o)
	if err != nil {
		return ctx.Err()
	}
	r, sure, err := motion.Presume(ctx, out.Mechanism, maps, k.Moves, motion.Options{Growth: p.o.Growth})
	if err != nil || !sure {
		return ctx.Err()
	}
	out.Result = r
	ev := *p.ev
	loose := min(0, p.o.Growth[0])
	shown := &witnessing{covers: map[float64][]proof.Cover{loose: covers(out.Mechanism, maps, loose)}, told: map[float64]error{}}
	if err := check(ctx, &out, shown, &ev, p.o).wait(); err != nil {
		return ctx.Err()
	}
	p.soFar(&out, &ev)
	if out.Verdict.Kind == verdict.Works && out.Verdict.Certified {
		p.told = true
		p.o.Asked(&out)
	}
	return nil
}

// shown walks the way at the tight end and shows what is blocked; the error is that of
// the walk, or of what cannot be asked.
func (k *presumable) shown(ctx context.Context, out *Outcome, o Options) ([]motion.PairMap, error) {
	m, trees := out.Mechanism, make([]*mesh.Tree, len(out.Bodies))
	for i := range trees {
		trees[i] = out.Bodies[i].Tree()
	}
	maps := make([]motion.PairMap, len(k.Pairs))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(o.workers())
	g.Go(func() error {
		_, err := proof.Walk(ctx, m, trees, max(0, o.Growth[1]), m.Start, strokes(&motion.Way{Moves: k.Moves}), m.Goal)
		return err
	})
	for i := range k.Pairs {
		g.Go(func() (err error) {
			maps[i], err = k.Pairs[i].shown(ctx, m, trees, o)
			return err
		})
	}
	return maps, g.Wait()
}

// presumable is what may be presumed; nil if nothing.
func (p *proving) presumable() *presumable {
	m, o := p.out.Mechanism, p.o
	raw, ok := o.Cache.Get(presumeKey(m))
	if !ok || o.Asked == nil || o.Flare || !m.HandsOnly() || len(p.ev.Defects) > 0 {
		return nil
	}
	k := &presumable{}
	if gob.NewDecoder(bytes.NewReader(raw)).Decode(k) != nil || k.Growth != o.Growth || len(k.Hashes) != len(m.Parts) {
		return nil
	}
	changed := false
	same := func(i int) bool { return k.Hashes[i] == p.out.Bodies[i].Hash }
	for i := range k.Hashes {
		changed = changed || !same(i)
	}
	for i := range k.Pairs {
		c := &k.Pairs[i]
		if c.Key != clearance.Key(m, c.A, c.B) || len(c.Coords) == 0 && !(same(c.A) && same(c.B)) {
			return nil // of other travels, or how they stand to each other shows no way
		}
	}
	if n := len(m.Parts); !changed || len(k.Pairs) != n*(n-1)/2 {
		return nil
	}
	return k
}

// shown is the pair with what can be shown to be blocked of the parts as they are now.
func (c *presumablePair) shown(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, o Options) (*presumedMap, error) {
	out := &presumedMap{pair: c, upper: make([]float64, len(c.Cells)), blocks: make([]proof.Block, len(c.Cells))}
	var left []int
	n := len(c.Coords)
	for i := range c.Cells {
		k := &c.Cells[i]
		if out.upper[i] = math.Inf(1); math.IsInf(k.Upper, 1) {
			continue
		}
		of := trees[c.B]
		if k.OnA {
			of = trees[c.A]
		}
		_, tri, at := of.Boundary().Near(k.Point, 1)
		if tri < 0 {
			continue
		}
		out.blocks[i] = proof.Block{Lo: k.Lo[:n], Hi: k.Hi[:n], OnA: k.OnA, Point: at}
		left = append(left, i)
	}
	for _, need := range motion.NeedsPresumed(m, c.A, c.B, o.Growth) {
		var claims []proof.Block
		var of, rest []int
		for _, i := range left {
			if c.Cells[i].Upper < need-motion.BlockedMargin {
				claims, of = append(claims, out.blocks[i]), append(of, i)
			} else {
				rest = append(rest, i)
			}
		}
		ok, err := proof.Shown(ctx, m, trees, c.A, c.B, terms(c.Coords), need, claims)
		if err != nil {
			return nil, fmt.Errorf("%s and %s: %w", m.Parts[c.A].Name, m.Parts[c.B].Name, err)
		}
		for j, i := range of {
			if ok[j] {
				out.upper[i] = math.Nextafter(need-motion.BlockedMargin, math.Inf(-1))
			} else {
				rest = append(rest, i)
			}
		}
		left = rest
	}
	return out, nil
}

func terms(cs []clearance.Coord) []proof.Coord {
	var out []proof.Coord
	for i := range cs {
		out = append(out, cs[i].Terms)
	}
	return out
}

// covers lists what was shown to be blocked at a growth.
func covers(m *mechanism.Mechanism, maps []motion.PairMap, growth float64) []proof.Cover {
	var out []proof.Cover
	for _, k := range maps {
		p := k.(*presumedMap)
		c := proof.Cover{Parts: [2]int{p.pair.A, p.pair.B}, Coords: terms(p.pair.Coords)}
		for i, u := range p.upper {
			if u < m.Needs(p.pair.A, p.pair.B, growth)-motion.BlockedMargin {
				c.Blocks = append(c.Blocks, p.blocks[i])
			}
		}
		out = append(out, c)
	}
	return out
}
