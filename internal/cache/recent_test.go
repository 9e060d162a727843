package cache_test

import (
	"slices"
	"testing"

	"feint/internal/cache"
)

// Of three at most the one that was asked for longest ago goes; what is kept stays the first.
func TestRecent(t *testing.T) {
	r := cache.NewRecent[int](3)
	for i, name := range []string{"a", "b", "c"} {
		r.Put(name, i)
	}
	if v, ok := r.Get("a"); !ok || v != 0 {
		t.Errorf("a is %d, %v", v, ok)
	}
	r.Put("d", 3)
	if _, ok := r.Get("b"); ok {
		t.Error("b, asked for longest ago, is there still")
	}
	if v := r.Keep("c", 9); v != 2 {
		t.Errorf("c was kept as 2 and is %d", v)
	}
	if v := r.Keep("e", 4); v != 4 {
		t.Errorf("e is %d", v)
	}
	if got := r.All(); !slices.Equal(got, []int{3, 2, 4}) {
		t.Errorf("all: %v", got)
	}
}
