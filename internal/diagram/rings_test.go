package diagram_test

import (
	"context"
	"fmt"
	"testing"

	"feint/internal/diagram"
)

// rings is the free set of n linked rings on a bar: ring i is off (0), being
// changed (1) or on (2), and may be changed only while ring i-1 is on and all
// rings before that are off. The level of ring i is n-1-i.
func rings(ctx context.Context, n int) (*diagram.Space, diagram.Set, error) {
	levels := make([]diagram.Level, n)
	for k := range levels {
		levels[k].Size = 3
	}
	s, err := diagram.New(ctx, levels, diagram.Options{})
	if err != nil {
		return nil, 0, err
	}
	free := diagram.All
	for i := 1; i < n; i++ {
		for j := range i {
			want := diagram.Run{Lo: 0, Hi: 1}
			if j == i-1 {
				want = diagram.Run{Lo: 2, Hi: 3}
			}
			changing := s.Runs(n-1-i, diagram.Run{Lo: 1, Hi: 2})
			free = s.And(free, s.Or(s.Not(changing), s.Runs(n-1-j, want)))
		}
	}
	return s, free, nil
}

func uniform(n int, u int32) []int32 {
	p := make([]int32, n)
	for k := range p {
		p[k] = u
	}
	return p
}

// TestRingsStates: 2^n settings of n linked rings, all of them reached (OEIS
// A000975 and the remarks there: the graph of the 2^n states is a path).
func TestRingsStates(t *testing.T) {
	for n := 1; n <= 20; n++ {
		s, free, err := rings(context.Background(), n)
		if err != nil {
			t.Fatal(err)
		}
		r := s.Close(1<<n-1, s.Point(uniform(n, 2)), free)
		rest := diagram.All
		for k := range n {
			rest = s.And(rest, s.Runs(k, diagram.Run{Lo: 0, Hi: 1}, diagram.Run{Lo: 2, Hi: 3}))
		}
		if got, want := s.Count(s.And(r, rest), nil), float64(int(1)<<n); got != want {
			t.Errorf("%d rings: %v settings, want %v", n, got, want)
		}
	}
}

// layers is the least number of moves from all on to all off.
func layers(s *diagram.Space, n int, free diagram.Set) int {
	r := s.Point(uniform(n, 2))
	goal := s.Point(uniform(n, 0))
	front := r
	for moves := 0; ; moves++ {
		if front == diagram.Empty || s.Meets(front, goal) {
			return moves
		}
		next := diagram.Empty
		for k := range n {
			next = s.Or(next, s.Sweep(k, front, free))
		}
		front = s.Minus(next, r)
		r = s.Or(r, front)
	}
}

// TestRingsMoves: OEIS A000975.
func TestRingsMoves(t *testing.T) {
	for i, want := range []int{1, 2, 5, 10, 21, 42, 85, 170, 341, 682, 1365, 2730} {
		s, free, err := rings(context.Background(), i+1)
		if err != nil {
			t.Fatal(err)
		}
		if got := layers(s, i+1, free); got != want {
			t.Errorf("%d rings: %d moves, want %d", i+1, got, want)
		}
	}
}

func BenchmarkRings(b *testing.B) {
	for _, n := range []int{8, 10, 12, 14, 16} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for range b.N {
				s, free, err := rings(context.Background(), n)
				if err != nil {
					b.Fatal(err)
				}
				if m := layers(s, n, free); m != ((1<<(n+1))-2)/3 {
					b.Fatal(m)
				}
				b.ReportMetric(float64(s.Made()), "nodes")
			}
		})
	}
}
