package cache

import "sync"

// Recent keeps in memory the last values put, by name. Its methods may be called by several
// goroutines at once.
type Recent[T any] struct {
	mu    sync.Mutex
	max   int
	order []string // the oldest first
	by    map[string]T
}

// NewRecent keeps so many values.
func NewRecent[T any](most int) *Recent[T] { return &Recent[T]{max: most, by: map[string]T{}} }

// Get is the value put last under a name.
func (r *Recent[T]) Get(name string) (T, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	v, ok := r.by[name]
	if ok {
		r.touch(name)
	}
	return v, ok
}

// Put keeps a value under a name, as the youngest.
func (r *Recent[T]) Put(name string, v T) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.put(name, v)
}

// Keep gives the value that is kept under the name, and keeps v if there is none.
func (r *Recent[T]) Keep(name string, v T) T {
	r.mu.Lock()
	defer r.mu.Unlock()
	if was, ok := r.by[name]; ok {
		v = was
	}
	r.put(name, v)
	return v
}

func (r *Recent[T]) put(name string, v T) {
	r.by[name] = v
	r.touch(name)
	for len(r.order) > r.max {
		delete(r.by, r.order[0])
		r.order = r.order[1:]
	}
}

// touch makes name the youngest.
func (r *Recent[T]) touch(name string) {
	for i, n := range r.order {
		if n == name {
			r.order = append(r.order[:i], r.order[i+1:]...)
			break
		}
	}
	r.order = append(r.order, name)
}

// All are the values, the oldest first.
func (r *Recent[T]) All() []T {
	r.mu.Lock()
	defer r.mu.Unlock()
	out := make([]T, len(r.order))
	for i, n := range r.order {
		out[i] = r.by[n]
	}
	return out
}
