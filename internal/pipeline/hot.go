package pipeline

import "feint/internal/cache"

// Hot keeps the last bodies in memory from one run to the next, with what was made of them
// for measuring: after a changed param most parts are as they were. Its methods may be
// called by several goroutines at once; a nil Hot keeps nothing.
type Hot struct{ bodies *cache.Recent[Body] }

// NewHot keeps so many bodies; one of a large design takes some ten megabytes.
func NewHot(most int) *Hot { return &Hot{cache.NewRecent[Body](most)} }

func (h *Hot) get(key string) (Body, bool) {
	if h == nil {
		return Body{}, false
	}
	return h.bodies.Get(key)
}

// keep gives the body that is kept under the key of b, b itself if it is the first one.
func (h *Hot) keep(b Body) Body {
	if h == nil {
		return b
	}
	return h.bodies.Keep(b.key, b)
}
