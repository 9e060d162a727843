package pipeline

import (
	"bytes"
	"context"
	"fmt"
	"slices"

	"feint/internal/cache"
	"feint/internal/clearance"
	"feint/internal/mechanism"
	"feint/internal/motion"

	"golang.org/x/sync/errgroup"
)

// pairMap is a map with the key under which it is kept.
type pairMap struct {
	*clearance.Map
	key   string
	saved int // bytes when loaded or kept, 0 if neither
}

// maps prepares a clearance map for every pair of parts with sound meshes, from
// the cache where the two meshes and the travels between them are as before, and with
// what is left of the maps of the parts as they were before a change.
// skipped lists the pairs left out because a mesh is broken.
func maps(ctx context.Context, m *mechanism.Mechanism, bs []Body, was *before, o Options) (ps []*pairMap, skipped [][2]int, err error) {
	prepared, err := prepare(ctx, bs, o)
	if err != nil {
		return nil, nil, err
	}
	var g errgroup.Group
	g.SetLimit(o.workers())
	for a := range m.Parts {
		for b := a + 1; b < len(m.Parts); b++ {
			if prepared[a] == nil || prepared[b] == nil {
				skipped = append(skipped, [2]int{a, b})
				continue
			}
			p := &pairMap{key: pairKey(m, a, b, bs[a].Hash, bs[b].Hash)}
			ps = append(ps, p)
			g.Go(func() error {
				if err := p.open(m, a, b, prepared, o); err != nil {
					return fmt.Errorf("%s and %s: %w", m.Parts[a].Name, m.Parts[b].Name, err)
				}
				return nil
			})
		}
	}
	if err := g.Wait(); err != nil {
		return nil, nil, err
	}
	return ps, skipped, was.inheritAll(ctx, ps, prepared)
}

// pairKey is where the map of a pair is kept.
func pairKey(m *mechanism.Mechanism, a, b int, meshA, meshB string) string {
	return cache.Key("map", clearance.Key(m, a, b), meshA, meshB)
}

func prepare(ctx context.Context, bs []Body, o Options) ([]*clearance.Body, error) {
	out := make([]*clearance.Body, len(bs))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(o.workers())
	for i := range bs {
		if !bs[i].Sound() {
			continue
		}
		g.Go(func() (err error) {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			out[i], err = bs[i].Clearance()
			return err
		})
	}
	return out, g.Wait()
}

func (p *pairMap) open(m *mechanism.Mechanism, a, b int, bodies []*clearance.Body, o Options) (err error) {
	if raw, ok := o.Cache.Get(p.key); ok {
		if p.Map, err = clearance.Load(bytes.NewReader(raw), m, a, b, bodies[a], bodies[b]); err == nil {
			p.saved = len(raw)
			return nil
		}
	}
	p.Map, err = clearance.New(m, a, b, bodies[a], bodies[b])
	return err
}

// keep stores what the maps have learnt.
func keep(ps []*pairMap, o Options) {
	if o.Cache == nil {
		return
	}
	for _, p := range ps {
		var buf bytes.Buffer
		if p.Save(&buf) == nil && buf.Len() != p.saved {
			_ = o.Cache.Put(p.key, buf.Bytes())
			p.saved = buf.Len()
		}
	}
	_ = o.Cache.Prune()
}

// parted are the pairs that some travel moves against each other. Of others the start
// tells all there is to tell: they overlap by more than a press fit allows (clashes), or
// stay as they are, glued or pressed, whatever their surfaces grow by.
func parted(ps []*pairMap) []*pairMap {
	return slices.DeleteFunc(slices.Clone(ps), func(p *pairMap) bool { return len(p.Coords()) == 0 })
}

func asPairMaps(ps []*pairMap) []motion.PairMap {
	ps = parted(ps)
	out := make([]motion.PairMap, len(ps))
	for i, p := range ps {
		out[i] = p.Map
	}
	return out
}
