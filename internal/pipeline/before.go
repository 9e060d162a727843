package pipeline

import (
	"bytes"
	"context"
	"encoding/gob"
	"fmt"
	"sync"

	"feint/internal/cache"
	"feint/internal/clearance"
	"feint/internal/mechanism"

	"golang.org/x/sync/errgroup"
)

// before tells how the parts stood when a design of these parts was last proved, so
// that what a change of a part cannot have touched need not be found again.
type before struct {
	m     *mechanism.Mechanism
	now   []Body
	o     Options
	parts []*older // by part; nil where nothing is known
}

// older is a part as it was.
type older struct {
	body  Body
	clear *clearance.Body
	same  bool
	once  sync.Once
	what  clearance.Change
	err   error
}

// lastKey is where it is kept which meshes a design had; params do not count.
func lastKey(m *mechanism.Mechanism) string {
	words := []string{"last", m.Name}
	for i := range m.Parts {
		words = append(words, m.Parts[i].Name)
	}
	return cache.Key(words...)
}

// recall looks up the parts as they were; nil if nothing is known.
func recall(m *mechanism.Mechanism, bs []Body, o Options) *before {
	raw, ok := o.Cache.Get(lastKey(m))
	if !ok {
		return nil
	}
	var keys []string
	if gob.NewDecoder(bytes.NewReader(raw)).Decode(&keys) != nil || len(keys) != len(m.Parts) {
		return nil
	}
	b := &before{m: m, now: bs, o: o, parts: make([]*older, len(m.Parts))}
	for i, k := range keys {
		p, known := &older{same: k == bs[i].key}, false
		if p.same {
			p.body = bs[i]
		} else if p.body, known = keptBody(k, o); !known {
			continue
		}
		if p.body.Sound() && bs[i].Sound() {
			b.parts[i] = p
		}
	}
	return b
}

// remember notes the parts for the next time.
func remember(m *mechanism.Mechanism, bs []Body, o Options) {
	var keys []string
	for i := range bs {
		if bs[i].key == "" {
			return // not as drawn
		}
		keys = append(keys, bs[i].key)
	}
	var buf bytes.Buffer
	if gob.NewEncoder(&buf).Encode(keys) == nil {
		_ = o.Cache.Put(lastKey(m), buf.Bytes())
	}
}

// compare finds what has changed of part i.
func (b *before) compare(i int) (clearance.Change, error) {
	p := b.parts[i]
	if p.same {
		return clearance.Change{}, nil
	}
	p.once.Do(func() {
		p.what = clearance.Changed(b.now[i].Tree(), p.body.Tree(), false)
		p.clear, p.err = p.body.Clearance()
	})
	return p.what, p.err
}

// inherit gives the map of parts x and y what it can take over from the map of the
// parts as they were, one part after the other; it is left as it is where that
// yields nothing.
func (b *before) inherit(ctx context.Context, p *pairMap, x, y int, bodies []*clearance.Body) error {
	if b == nil || b.parts[x] == nil || b.parts[y] == nil || b.parts[x].same && b.parts[y].same {
		return nil
	}
	key := pairKey(b.m, x, y, b.parts[x].body.Hash, b.parts[y].body.Hash)
	raw, ok := b.o.Cache.Get(key)
	if !ok {
		return nil
	}
	stood := [2]*clearance.Body{bodies[x], bodies[y]}
	var what [2]clearance.Change
	for k, i := range [2]int{x, y} {
		var err error
		if what[k], err = b.compare(i); err != nil {
			return err
		}
		if !b.parts[i].same {
			stood[k] = b.parts[i].clear
		}
	}
	from, err := clearance.Load(bytes.NewReader(raw), b.m, x, y, stood[0], stood[1])
	if err != nil {
		return nil //nolint:nilerr // a damaged entry is no entry
	}
	for k, i := range [2]int{x, y} {
		if b.parts[i].same {
			continue
		}
		stood[k] = bodies[i]
		next, err := clearance.New(b.m, x, y, stood[0], stood[1])
		if err != nil {
			return err
		}
		what[k].OnA = k == 0
		if err := next.Inherit(ctx, from, what[k]); err != nil {
			return fmt.Errorf("what was known before: %w", err)
		}
		from = next
	}
	p.Map = from
	return nil
}

// inheritAll does it for the maps that know nothing yet.
func (b *before) inheritAll(ctx context.Context, ps []*pairMap, bodies []*clearance.Body) error {
	if b == nil {
		return nil
	}
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(b.o.workers())
	for _, p := range ps {
		if p.saved > 0 {
			continue
		}
		x, y := p.Parts()
		g.Go(func() error { return b.inherit(ctx, p, x, y, bodies) })
	}
	return g.Wait()
}
