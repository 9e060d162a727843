package diagram_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"feint/internal/diagram"

	"pgregory.net/rapid"
)

// model is a set kept point by point: the second way of all laws below.
type model []bool

type fixture struct {
	s      *diagram.Space
	levels []diagram.Level
	points [][]int32
}

func (f *fixture) index(p []int32) int {
	i := 0
	for k, l := range f.levels {
		i = i*int(l.Size) + int(p[k])
	}
	return i
}

func (f *fixture) read(a diagram.Set) model {
	m := make(model, len(f.points))
	for i, p := range f.points {
		m[i] = f.s.Contains(a, p)
	}
	return m
}

func (f *fixture) make(m model) diagram.Set {
	ks := make([]int, len(f.levels))
	for k := range ks {
		ks[k] = k
	}
	var ends []int32
	for i, in := range m {
		if in {
			for _, u := range f.points[i] {
				ends = append(ends, u, u+1)
			}
		}
	}
	return f.s.FromBoxes(ks, ends)
}

// flood is Close point by point.
func (f *fixture) flood(m diagram.Levels, r, free model) model {
	out := make(model, len(r))
	var todo []int
	for i := range r {
		if r[i] && free[i] {
			out[i] = true
			todo = append(todo, i)
		}
	}
	for len(todo) > 0 {
		p := f.points[todo[len(todo)-1]]
		todo = todo[:len(todo)-1]
		for k, l := range f.levels {
			if m>>k&1 == 0 {
				continue
			}
			for _, d := range []int32{-1, 1} {
				q := slices.Clone(p)
				q[k] += d
				if l.Cyclic {
					q[k] = (q[k] + l.Size) % l.Size
				}
				if q[k] < 0 || q[k] >= l.Size {
					continue
				}
				if j := f.index(q); free[j] && !out[j] {
					out[j] = true
					todo = append(todo, j)
				}
			}
		}
	}
	return out
}

func drawFixture(t *rapid.T) *fixture {
	n := rapid.IntRange(1, 4).Draw(t, "levels")
	levels := make([]diagram.Level, n)
	for k := range levels {
		levels[k] = diagram.Level{
			Size:   rapid.Int32Range(1, 5).Draw(t, "size"),
			Cyclic: rapid.Bool().Draw(t, "cyclic"),
		}
	}
	s, err := diagram.New(context.Background(), levels, diagram.Options{Cache: 64})
	if err != nil {
		t.Fatal(err)
	}
	f := &fixture{s: s, levels: levels, points: [][]int32{{}}}
	for _, l := range levels {
		var next [][]int32
		for _, p := range f.points {
			for u := range l.Size {
				next = append(next, append(slices.Clone(p), u))
			}
		}
		f.points = next
	}
	return f
}

func drawModel(t *rapid.T, f *fixture, name string) model {
	share := rapid.IntRange(1, 9).Draw(t, name+" share")
	m := make(model, len(f.points))
	for i := range m {
		m[i] = rapid.IntRange(0, 9).Draw(t, name) < share
	}
	return m
}

func zip(a, b model, op func(x, y bool) bool) model {
	m := make(model, len(a))
	for i := range a {
		m[i] = op(a[i], b[i])
	}
	return m
}

// TestAlgebra checks every operation against sets kept point by point (a second
// algorithm of ours, by exhaustion).
func TestAlgebra(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		ma, mb := drawModel(t, f, "a"), drawModel(t, f, "b")
		a, b := f.make(ma), f.make(mb)
		same := func(name string, got diagram.Set, want model) {
			t.Helper()
			if !slices.Equal(f.read(got), want) {
				t.Fatalf("%s: got %v, want %v", name, f.read(got), want)
			}
			if got != f.make(want) {
				t.Fatalf("%s: two handles for one set", name)
			}
		}
		same("boxes", a, ma)
		same("and", f.s.And(a, b), zip(ma, mb, func(x, y bool) bool { return x && y }))
		same("or", f.s.Or(a, b), zip(ma, mb, func(x, y bool) bool { return x || y }))
		same("minus", f.s.Minus(a, b), zip(ma, mb, func(x, y bool) bool { return x && !y }))
		same("not", f.s.Not(a), zip(ma, mb, func(x, _ bool) bool { return !x }))
		meets := slices.Contains(zip(ma, mb, func(x, y bool) bool { return x && y }), true)
		if f.s.Meets(a, b) != meets {
			t.Fatalf("meets: got %v", !meets)
		}
		m := diagram.Levels(rapid.Uint64Range(0, 1<<len(f.levels)-1).Draw(t, "moved"))
		same("close", f.s.Close(m, a, b), f.flood(m, ma, mb))
		k := rapid.IntRange(0, len(f.levels)-1).Draw(t, "k")
		same("sweep", f.s.Sweep(k, a, b), f.flood(diagram.LevelsOf(k), ma, mb))
		free := make(model, len(ma))
		for i := range free {
			free[i] = true
		}
		same("exists", f.s.Exists(m, a), f.flood(m, ma, free))
		if f.s.Err() != nil {
			t.Fatal(f.s.Err())
		}
	})
}

// TestReading checks what is read off a set against the points themselves.
func TestReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		ma := drawModel(t, f, "a")
		a := f.make(ma)
		weight := make([]float64, len(f.levels))
		for k := range weight {
			weight[k] = float64(rapid.IntRange(1, 3).Draw(t, "weight"))
		}
		each := 1.0
		for _, w := range weight {
			each *= w
		}
		n := 0.0
		for _, in := range ma {
			if in {
				n++
			}
		}
		if got := f.s.Count(a, nil); got != n {
			t.Fatalf("count %v, want %v", got, n)
		}
		if got := f.s.Count(a, weight); got != n*each {
			t.Fatalf("weighed %v, want %v", got, n*each)
		}
		p := rapid.SampledFrom(f.points).Draw(t, "p")
		q, ok := f.s.Pick(a, p)
		if ok != (n > 0) || (ok && !ma[f.index(q)]) || (ma[f.index(p)] && !slices.Equal(p, q)) {
			t.Fatalf("pick %v %v", q, ok)
		}
		for k := range f.levels {
			line := make([]bool, f.levels[k].Size)
			for _, r := range f.s.Line(a, k, p) {
				for u := r.Lo; u < r.Hi; u++ {
					line[u] = true
				}
			}
			for u := range line {
				x := slices.Clone(p)
				x[k] = int32(u)
				if line[u] != ma[f.index(x)] {
					t.Fatalf("line %d at %v: %v", k, p, line)
				}
			}
		}
		ks := make([]int, len(f.levels))
		for k := range ks {
			ks[k] = k
		}
		var ends []int32
		volume := 0.0
		for box := range f.s.Boxes(a, ks) {
			v := 1.0
			for _, r := range box {
				ends = append(ends, r.Lo, r.Hi)
				v *= float64(r.Hi - r.Lo)
			}
			volume += v
		}
		if volume != n || f.s.FromBoxes(ks, ends) != a {
			t.Fatalf("boxes: volume %v of %v", volume, n)
		}
	})
}

// MeetsBox agrees with a look at every point of the box.
func TestMeetsBox(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		m := drawModel(t, f, "a")
		box := make([]diagram.Run, len(f.levels))
		for k, l := range f.levels {
			lo := int32(rapid.IntRange(0, int(l.Size)-1).Draw(t, "lo"))
			box[k] = diagram.Run{Lo: lo, Hi: int32(rapid.IntRange(int(lo), int(l.Size)).Draw(t, "hi"))}
		}
		want := false
		for i, p := range f.points {
			in := m[i]
			for k, u := range p {
				in = in && u >= box[k].Lo && u < box[k].Hi
			}
			want = want || in
		}
		empty := false // on a level on which the set does not depend an empty run shows nowhere
		for _, r := range box {
			empty = empty || r.Lo == r.Hi
		}
		if got := f.s.MeetsBox(f.make(m), box); got != want && !empty {
			t.Fatalf("box %v: %v", box, got)
		}
	})
}

// TestFromBoxes compares the sweep of overlapping boxes, the levels named in any
// order, with their unions.
func TestFromBoxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		ks := rapid.Permutation([]int{0, 1, 2, 3}[:len(f.levels)]).Draw(t, "order")
		ks = ks[:rapid.IntRange(1, len(ks)).Draw(t, "used")]
		var ends []int32
		want := diagram.Empty
		for range rapid.IntRange(0, 8).Draw(t, "boxes") {
			x := diagram.All
			for _, k := range ks {
				lo := rapid.Int32Range(-1, 5).Draw(t, "lo")
				hi := lo + rapid.Int32Range(0, 4).Draw(t, "length")
				ends = append(ends, lo, hi)
				x = f.s.And(x, f.s.Runs(k, diagram.Run{Lo: lo, Hi: hi}))
			}
			want = f.s.Or(want, x)
		}
		if got := f.s.FromBoxes(ks, ends); got != want {
			t.Fatalf("got %v, want %v", f.read(got), f.read(want))
		}
	})
}

// TestCollect: sets that are kept mean the same afterwards, and equal sets made
// later get the same handle.
func TestCollect(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		ma, mb := drawModel(t, f, "a"), drawModel(t, f, "b")
		a, b := f.make(ma), f.make(mb)
		f.s.And(a, b)
		before := f.s.Edges()
		f.s.Collect(a)
		if n := f.s.Edges(); n > before || (n == 0) != (f.s.Size(a) == 0) {
			t.Fatalf("%d edges of %d nodes are left of %d", n, f.s.Size(a), before)
		}
		if f.s.Live() != f.s.Size(a)+2 {
			t.Fatalf("%d nodes live, want %d", f.s.Live(), f.s.Size(a)+2)
		}
		if !slices.Equal(f.read(a), ma) || f.make(ma) != a {
			t.Fatal("the set that was kept has changed")
		}
		if b = f.make(mb); !slices.Equal(f.read(f.s.Or(a, b)), zip(ma, mb, func(x, y bool) bool { return x || y })) {
			t.Fatal("wrong union after a collection")
		}
	})
}

// TestCopy: the sets mean the same in a copy, which grows without touching the space.
func TestCopy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFixture(t)
		ma, mb := drawModel(t, f, "a"), drawModel(t, f, "b")
		a, b := f.make(ma), f.make(mb)
		f.s.Or(a, b)
		made := f.s.Made()
		sp, as, err := f.s.Copy(a, b, diagram.Empty, diagram.All)
		if err != nil {
			t.Fatal(err)
		}
		g := *f
		g.s = sp
		if as[2] != diagram.Empty || as[3] != diagram.All || !slices.Equal(g.read(as[0]), ma) || !slices.Equal(g.read(as[1]), mb) {
			t.Fatal("a set means something else in the copy")
		}
		if g.make(ma) != as[0] || g.make(mb) != as[1] {
			t.Fatal("the copy makes a set twice")
		}
		if x := sp.And(as[0], as[1]); !slices.Equal(g.read(x), zip(ma, mb, func(x, y bool) bool { return x && y })) {
			t.Fatal("wrong common part in the copy")
		}
		if f.s.Made() != made || !slices.Equal(f.read(a), ma) || !slices.Equal(f.read(b), mb) {
			t.Fatal("the space has changed")
		}
	})
}

func TestLimit(t *testing.T) {
	levels := make([]diagram.Level, 12)
	for k := range levels {
		levels[k].Size = 1000
	}
	s, err := diagram.New(context.Background(), levels, diagram.Options{Nodes: 100})
	if err != nil {
		t.Fatal(err)
	}
	for i := range int32(100) {
		p := make([]int32, len(levels))
		for k := range p {
			p[k] = i * int32(k+1) % 1000
		}
		s.Point(p)
	}
	if !errors.Is(s.Err(), diagram.ErrLimit) {
		t.Fatalf("error %v, want %v", s.Err(), diagram.ErrLimit)
	}
	if s.Live() > 100 {
		t.Fatalf("%d nodes held, 100 allowed", s.Live())
	}
}

func TestContextEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s, err := diagram.New(ctx, []diagram.Level{{Size: 100000}, {Size: 100000}}, diagram.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var ends []int32
	for i := range int32(20000) {
		ends = append(ends, 2*i, 2*i+1, 3*i, 3*i+1)
	}
	s.FromBoxes([]int{0, 1}, ends)
	if !errors.Is(s.Err(), context.Canceled) {
		t.Fatalf("error %v, want %v", s.Err(), context.Canceled)
	}
}

func TestBadSpaces(t *testing.T) {
	for _, levels := range [][]diagram.Level{{{Size: 0}}, make([]diagram.Level, 65)} {
		if _, err := diagram.New(context.Background(), levels, diagram.Options{}); err == nil {
			t.Errorf("%d levels: no error", len(levels))
		}
	}
}
