package pipeline

import "sync"

// Hot keeps the last bodies in memory from one run to the next, with what was made of them
// for measuring: after a changed param most parts are as they were. Its methods may be
// called by several goroutines at once; a nil Hot keeps nothing.
type Hot struct {
	mu   sync.Mutex
	most int
	by   map[string]Body
	keys []string // the one that was asked for last stands last
}

// NewHot keeps so many bodies; one of a large design takes some ten megabytes.
func NewHot(most int) *Hot { return &Hot{most: most, by: map[string]Body{}} }

func (h *Hot) get(key string) (Body, bool) {
	if h == nil {
		return Body{}, false
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	b, ok := h.by[key]
	if ok {
		h.touch(key)
	}
	return b, ok
}

// keep gives the body that is kept under the key of b, b itself if it is the first one.
func (h *Hot) keep(b Body) Body {
	if h == nil {
		return b
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if was, ok := h.by[b.key]; ok {
		b = was
	}
	h.by[b.key] = b
	h.touch(b.key)
	if len(h.keys) > h.most {
		delete(h.by, h.keys[0])
		h.keys = h.keys[1:]
	}
	return b
}

// touch makes a key the last one.
func (h *Hot) touch(key string) {
	for i, k := range h.keys {
		if k == key {
			h.keys = append(h.keys[:i], h.keys[i+1:]...)
			break
		}
	}
	h.keys = append(h.keys, key)
}
