package diagram_test

import (
	"slices"
	"testing"

	"feint/internal/diagram"

	"pgregory.net/rapid"
)

// step moves a point one unit or more along level k; false beyond the ends.
func (f *fixture) step(i, k int, by int32) (int, bool) {
	q := slices.Clone(f.points[i])
	q[k] += by
	l := f.levels[k]
	if l.Cyclic {
		q[k] = ((q[k] % l.Size) + l.Size) % l.Size
	}
	if q[k] < 0 || q[k] >= l.Size {
		return 0, false
	}
	return f.index(q), true
}

// Shift against moving every point (a second algorithm of ours).
func TestShift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		a := drawModel(t, f, "a")
		k := rapid.IntRange(0, len(f.levels)-1).Draw(t, "level")
		by := rapid.Int32Range(-6, 6).Draw(t, "by")
		want := make(model, len(a))
		for i := range a {
			if j, ok := f.step(i, k, by); a[i] && ok {
				want[j] = true
			}
		}
		got := f.s.Shift(k, by, f.make(a))
		if got != f.make(want) {
			t.Fatalf("level %d by %d: got %v, want %v", k, by, f.read(got), want)
		}
		if f.s.Err() != nil {
			t.Fatal(f.s.Err())
		}
	})
}

// Drift against single steps repeated until nothing is new (a second algorithm of
// ours).
func TestDrift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		r, free := drawModel(t, f, "r"), drawModel(t, f, "f")
		k := rapid.IntRange(0, len(f.levels)-1).Draw(t, "level")
		up := rapid.Bool().Draw(t, "up")
		by := int32(-1)
		if up {
			by = 1
		}
		want := make(model, len(r))
		for i := range r {
			want[i] = r[i] && free[i]
		}
		for changed := true; changed; {
			changed = false
			for i := range want {
				if j, ok := f.step(i, k, by); want[i] && ok && free[j] && !want[j] {
					want[j], changed = true, true
				}
			}
		}
		got := f.s.Drift(k, up, f.make(r), f.make(free))
		if got != f.make(want) {
			t.Fatalf("level %d up %v: got %v, want %v", k, up, f.read(got), want)
		}
	})
}

// Split and Under against the set itself: what is divided and joined again is the
// same (a law).
func TestSplitUnder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		ma, mb := drawModel(t, f, "a"), drawModel(t, f, "b")
		a, b := f.make(ma), f.make(mb)
		l := rapid.IntRange(0, len(f.levels)-1).Draw(t, "level")
		all := f.s.And(a, a)
		joined, parts := f.s.And(a, f.s.Not(a)), f.s.Split(l, a)
		for i, p := range parts {
			joined = f.s.Or(joined, f.s.And(p.Above, p.Below))
			for _, q := range parts[:i] {
				if f.s.Meets(p.Above, q.Above) || p.Below == q.Below {
					t.Fatal("parts are not apart")
				}
			}
		}
		if joined != all {
			t.Fatalf("split at %d: %v, want %v", l, f.read(joined), ma)
		}
		got := f.s.Under(l, []diagram.Set{a, b}, func(s []diagram.Set) diagram.Set { return f.s.Minus(s[0], s[1]) })
		if got != f.s.Minus(a, b) {
			t.Fatalf("under %d: %v", l, f.read(got))
		}
	})
}
