package pipeline

import (
	"bytes"
	"encoding/gob"
	"fmt"

	"feint/internal/cache"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/play"

	"golang.org/x/sync/errgroup"
)

// playVersion names the way of measuring; it changes whenever play may come out
// otherwise for the same input.
const playVersion = "play 6"

// playing is play being measured beside other stages.
type playing struct {
	group errgroup.Group
	plays []play.Play
}

// measuring sets out on it.
func measuring(m *mechanism.Mechanism, bs []Body, was *before, o Options) *playing {
	p := &playing{}
	p.group.Go(func() error {
		p.plays = measurePlay(m, bs, was, o)
		return nil
	})
	return p
}

func (p *playing) wait() error {
	if p == nil {
		return nil
	}
	return p.group.Wait()
}

// measured waits for it.
func (p *playing) measured() []play.Play {
	_ = p.group.Wait() // measuring has no errors
	return p.plays
}

// measurePlay measures the play of every part, from the cache where nothing that
// it hangs on has changed: the part, its carrier and how they stand, or, for a part
// that its carrier alone does not hold, every part.
func measurePlay(m *mechanism.Mechanism, bs []Body, was *before, o Options) []play.Play {
	trees := make([]*mesh.Tree, len(bs))
	for i := range bs {
		if bs[i].Sound() {
			trees[i] = bs[i].Tree()
		}
	}
	movers := play.Movers(m, trees)
	out := make([]play.Play, len(movers))
	var todo, at []int
	for k, i := range movers {
		if loadPlay(o.Cache, m, bs, i, &out[k]) {
			continue
		}
		if was.play(i, &out[k]) {
			keepPlay(o.Cache, m, bs, &out[k])
			continue
		}
		todo, at = append(todo, i), append(at, k)
	}
	for n, p := range play.MeasureParts(m, trees, todo) {
		out[at[n]] = p
		keepPlay(o.Cache, m, bs, &p)
	}
	return out
}

func keepPlay(c *cache.Store, m *mechanism.Mechanism, bs []Body, p *play.Play) {
	near, all := playKeys(m, bs, p.Part)
	if len(p.Guides) > 1 {
		near = all
	}
	var buf bytes.Buffer
	if gob.NewEncoder(&buf).Encode(p) == nil {
		_ = c.Put(near, buf.Bytes())
	}
}

func loadPlay(c *cache.Store, m *mechanism.Mechanism, bs []Body, part int, to *play.Play) bool {
	near, all := playKeys(m, bs, part)
	raw, ok := c.Get(near)
	if !ok {
		raw, ok = c.Get(all)
	}
	if !ok {
		return false
	}
	var p play.Play
	if gob.NewDecoder(bytes.NewReader(raw)).Decode(&p) != nil {
		return false
	}
	*to = p
	return true
}

// play takes over the play of a part from the time before a change, if what changed,
// of the part or of what guides it, stands farther off than it was pushed or tipped:
// what it ran into is then as it was, and nothing new is in the way. A part that its
// carrier alone does not hold must be as it was, and its carrier too, so that it still
// needs the others.
func (b *before) play(part int, to *play.Play) bool {
	if b == nil {
		return false
	}
	bodies := make([]Body, len(b.parts))
	for i, p := range b.parts {
		if p == nil {
			return false
		}
		bodies[i] = p.body
	}
	var p play.Play
	if !loadPlay(b.o.Cache, b.m, bodies, part, &p) || p.Part != part || p.Immovable {
		return false
	}
	if c := b.m.Parts[part].Carrier; len(p.Guides) != 1 && !(b.parts[part].same && b.parts[c].same) {
		return false
	}
	if !b.parts[part].same && b.now[part].Mesh.Bounds() != bodies[part].Mesh.Bounds() {
		return false // it would be tipped about another place
	}
	for _, g := range p.Guides {
		if !b.changeFar(part, g, p.Most()+2*play.Touch) {
			return false
		}
	}
	*to = p
	return true
}

// changeFar tells whether, at the start, what changed of either part stands farther
// than far from the other, as it was and as it is.
func (b *before) changeFar(x, y int, far float64) bool {
	for _, k := range [2][2]int{{x, y}, {y, x}} {
		what, err := b.compare(k[0])
		if err != nil {
			return false
		}
		if len(what.Faces) == 0 {
			continue
		}
		g := b.m.Pose(k[0], b.m.Start).Then(b.m.Pose(k[1], b.m.Start).Inverse())
		change := mesh.NewFaceTree(what.Faces)
		for _, t := range []*mesh.Tree{b.now[k[1]].Tree(), b.parts[k[1]].body.Tree()} {
			if d, _, _ := change.Distance(t, g, 2*far); d <= far {
				return false
			}
		}
	}
	return true
}

// playKeys are the keys of the play of a part: with its carrier alone, and with all.
func playKeys(m *mechanism.Mechanism, bs []Body, part int) (near, all string) {
	p := &m.Parts[part]
	words := []string{playVersion, fmt.Sprint(part, p.Carrier, m.Pose(part, m.Start), m.Pose(p.Carrier, m.Start)), bs[part].Hash}
	for _, t := range p.Travels {
		k := &m.Travels[t]
		words = append(words, fmt.Sprint(k.Kind, k.Axis, k.Lead))
	}
	near = cache.Key(append(append([]string{"its carrier"}, words...), bs[p.Carrier].Hash)...)
	words = append([]string{"all"}, words...)
	for i := range bs {
		words = append(words, bs[i].Hash, fmt.Sprint(m.Pose(i, m.Start)))
	}
	return near, cache.Key(words...)
}
