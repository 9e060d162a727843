package server

import "sync"

// recent keeps the last values put, by name.
type recent[T any] struct {
	mu    sync.Mutex
	max   int
	order []string // the oldest first
	by    map[string]T
}

func newRecent[T any](most int) *recent[T] { return &recent[T]{max: most, by: map[string]T{}} }

func (r *recent[T]) get(name string) (T, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	v, ok := r.by[name]
	if ok {
		r.touch(name)
	}
	return v, ok
}

func (r *recent[T]) put(name string, v T) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.by[name] = v
	r.touch(name)
	for len(r.order) > r.max {
		delete(r.by, r.order[0])
		r.order = r.order[1:]
	}
}

// touch makes name the youngest.
func (r *recent[T]) touch(name string) {
	for i, n := range r.order {
		if n == name {
			r.order = append(r.order[:i], r.order[i+1:]...)
			break
		}
	}
	r.order = append(r.order, name)
}

// all are the values, the oldest first.
func (r *recent[T]) all() []T {
	r.mu.Lock()
	defer r.mu.Unlock()
	out := make([]T, len(r.order))
	for i, n := range r.order {
		out[i] = r.by[n]
	}
	return out
}
