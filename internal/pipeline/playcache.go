package pipeline

import (
	"bytes"
	"encoding/gob"
	"fmt"

	"feint/internal/cache"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/play"
)

// playVersion names the way of measuring; it changes whenever play may come out
// otherwise for the same input.
const playVersion = "play 2"

// measurePlay measures the play of every part, from the cache where nothing that
// it hangs on has changed: the part, its carrier and how they stand, or, for a part
// that its carrier alone does not hold, every part.
func measurePlay(m *mechanism.Mechanism, bs []Body, o Options) []play.Play {
	meshes := make([]*mesh.Mesh, len(bs))
	for i := range bs {
		if bs[i].Sound() {
			meshes[i] = bs[i].Mesh
		}
	}
	movers := play.Movers(m, meshes)
	out := make([]play.Play, len(movers))
	var todo, at []int
	for k, i := range movers {
		near, all := playKeys(m, bs, i)
		if !loadPlay(o.Cache, near, &out[k]) && !loadPlay(o.Cache, all, &out[k]) {
			todo, at = append(todo, i), append(at, k)
		}
	}
	for n, p := range play.MeasureParts(m, meshes, todo) {
		out[at[n]] = p
		near, all := playKeys(m, bs, p.Part)
		if len(p.Guides) > 1 {
			near = all
		}
		var buf bytes.Buffer
		if gob.NewEncoder(&buf).Encode(p) == nil {
			_ = o.Cache.Put(near, buf.Bytes())
		}
	}
	return out
}

func loadPlay(c *cache.Store, key string, to *play.Play) bool {
	raw, ok := c.Get(key)
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
