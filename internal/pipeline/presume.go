package pipeline

import (
	"bytes"
	"context"
	"encoding/gob"
	"math"

	"feint/internal/cache"
	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
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

// presumeRounds is how often boxes of which no more than a part is still blocked are
// divided before it is given up.
const presumeRounds = 2

// presume tries whether what was found before the parts changed still holds, and tells it
// if the checker shows all of it on the parts as they are now: the way at the tight end,
// and that what is blocked leaves no way with fewer moves or past a step; or, where parts
// now overlap at the tight end before anything is moved, that it holds as drawn and binds.
// Where anything stands in the way of that, nothing is told: all is then asked in earnest.
func (p *proving) presume(ctx context.Context) error {
	k := p.presumable()
	if k == nil {
		return nil
	}
	out := *p.out
	maps, binds, err := k.shown(ctx, &out, p.o)
	if err != nil {
		return ctx.Err()
	}
	kind, growth := verdict.Works, p.o.Growth
	if binds {
		kind, growth = verdict.Stuck, [2]float64{}
	}
	for round := 0; out.Result == nil; round++ {
		r, sure, err := motion.Presume(ctx, out.Mechanism, asMotion(maps), k.Moves, motion.Options{Growth: growth})
		if err != nil || !sure && round == presumeRounds {
			return ctx.Err()
		}
		if sure {
			out.Result = r
		} else if err := finer(ctx, maps, p.o); err != nil {
			return ctx.Err()
		}
	}
	if binds {
		bound(out.Result, p.o.Growth)
	}
	ev := *p.ev
	loose := min(0, growth[0])
	shown := &witnessing{
		covers: map[float64][]proof.Cover{loose: covers(out.Mechanism, maps, loose)}, told: map[float64]error{},
		ladder: covers(out.Mechanism, maps, 0),
	}
	if err := check(ctx, &out, shown, &ev, p.o).wait(); err != nil {
		return ctx.Err()
	}
	p.soFar(&out, &ev)
	if out.Verdict.Kind == kind && out.Verdict.Certified && (ev.Limits == nil || *ev.Limits) {
		p.told = true
		p.o.Asked(&out)
	}
	return nil
}

// bound makes of what holds as drawn what is known where the start is not free at the
// tight end.
func bound(r *motion.Result, asked [2]float64) {
	r.Asked = asked
	r.Tight.Growth, r.Tight.Opens, r.Tight.Start, r.Tight.Moves = asked[1], motion.No, motion.No, 0
	r.Loose.Growth = asked[0]
	r.Fit.Bind = &motion.Limit{Lo: 0, Hi: asked[1]}
	r.Beyond = []motion.Certificate{{What: "does it open at the tight end", Growth: asked[1], Avoid: -1}}
	for i := range r.Steps {
		r.Steps[i].Bypass = &motion.Limit{Lo: math.Inf(-1), Hi: 0}
	}
}

// shown walks the way at the tight end and shows what is blocked. Where the start is not
// free at the tight end binds is true, and the way is walked as drawn. The error is that of
// the walk, or of what cannot be asked.
func (k *presumable) shown(ctx context.Context, out *Outcome, o Options) (maps []*presumedMap, binds bool, err error) {
	m, trees := out.Mechanism, treesOf(out.Bodies)
	maps = make([]*presumedMap, len(k.Pairs))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(o.workers())
	g.Go(func() error {
		walk := func(growth float64) error {
			_, err := proof.Walk(ctx, m, trees, growth, m.Start, strokes(&motion.Way{Moves: k.Moves}), m.Goal)
			return err
		}
		err := walk(max(0, o.Growth[1]))
		if err != nil && ctx.Err() == nil && o.Growth[1] > 0 && o.Growth[0] <= 0 {
			if _, shut := proof.Shut(ctx, m, trees, o.Growth[1]); shut == nil {
				binds, err = true, walk(0)
			}
		}
		return err
	})
	for i := range k.Pairs {
		g.Go(func() (err error) {
			maps[i], err = newPresumedMap(ctx, m, trees, &k.Pairs[i], o)
			return err
		})
	}
	err = g.Wait()
	return maps, binds, err
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
