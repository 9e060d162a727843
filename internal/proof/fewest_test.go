package proof_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"

	"feint/internal/diagram"
	"feint/internal/mechanism"
	"feint/internal/proof"
)

// moved is the brute force: the units that moves of the levels given, one step at a time,
// lead to from those of from, which are included.
func moved(s *diagram.Space, free diagram.Set, from map[[3]int32]bool, levels []int) map[[3]int32]bool {
	out := map[[3]int32]bool{}
	var todo [][3]int32
	for p := range from {
		out[p] = true
		todo = append(todo, p)
	}
	for len(todo) > 0 {
		q := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for _, l := range levels {
			for _, d := range [2]int32{-1, 1} {
				n, lv := q, s.Levels()[l]
				if n[l] += d; lv.Cyclic {
					n[l] = (n[l] + lv.Size) % lv.Size
				}
				if n[l] >= 0 && n[l] < lv.Size && !out[n] && s.Contains(free, n[:]) {
					out[n] = true
					todo = append(todo, n)
				}
			}
		}
	}
	return out
}

func setOf(s *diagram.Space, ps map[[3]int32]bool) diagram.Set {
	x := diagram.Empty
	for p := range ps {
		x = s.Or(x, s.Point(p[:]))
	}
	return x
}

// Brute force, unit by unit, makes certificates of two parts, one of which has two travels.
// Each must pass for a goal that takes as many moves or more, and be refused for one that
// takes fewer; with a point taken from what is reached or from the ends of a move, with a
// point more free, with a part left out, it must be refused.
func TestFewestMutations(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	ctx := context.Background()
	passed, refused, rungs := 0, 0, 0
	for round := range 40 {
		m, s := board(round%4, 4, 5, 6)
		m.Travels[2].Part, m.Parts[2].Travels, m.Parts[3].Travels = 2, []int{1, 2}, nil
		free := s.Point([]int32{0, 0, 0})
		for range 45 {
			free = s.Or(free, s.Point([]int32{r.Int32N(4), r.Int32N(5), r.Int32N(6)}))
		}
		parts := [][]int{{0}, {1, 2}}
		now := map[[3]int32]bool{{}: true}
		took := map[[3]int32]int{{}: 0}
		c := &proof.Rungs{Space: s, Travels: []int{0, 1, 2}, Free: free, Parts: []int{1, 2}, Reached: []diagram.Set{setOf(s, now)}}
		for n := 1; n < 5; n++ {
			next := map[[3]int32]bool{}
			var ends []diagram.Set
			for _, levels := range parts {
				to := moved(s, free, now, levels)
				ends = append(ends, setOf(s, to))
				for p := range to {
					next[p] = true
				}
			}
			for p := range next {
				if _, ok := took[p]; !ok {
					took[p] = n
				}
			}
			now = next
			c.Reached, c.Ends = append(c.Reached, setOf(s, now)), append(c.Ends, ends)
		}
		at := func(p [3]int32) (g mechanism.Region) {
			for l, u := range p {
				w := m.Travels[l].Hi / float64(s.Levels()[l].Size)
				g.Bounds = append(g.Bounds, mechanism.Bound{Travel: l, Lo: w * (float64(u) + 0.4), Hi: w * (float64(u) + 0.6)})
			}
			return g
		}
		expect := func(what string, c *proof.Rungs, goal mechanism.Region, want error) {
			t.Helper()
			if err := proof.Fewest(ctx, m, c, goal); !errors.Is(err, want) {
				t.Fatalf("round %d, %s: %v, want %v", round, what, err, want)
			}
		}
		blocked := [3]int32{}
		for x := range int32(120) {
			p := [3]int32{x % 4, x / 4 % 5, x / 20}
			n, ok := took[p]
			if !ok {
				n, blocked = len(c.Reached), p
			}
			short := *c
			for k := 1; k <= len(c.Reached); k++ {
				short.Reached, short.Ends = c.Reached[:k], c.Ends[:k-1]
				if n >= k { // a way of k-1 moves does not come there
					expect("as it is", &short, at(p), nil)
					passed++
				} else {
					expect("a goal too near", &short, at(p), proof.ErrRefused)
					refused++
				}
			}
		}
		far := at(blocked)
		for p, n := range took {
			worse := *c
			worse.Reached = append([]diagram.Set(nil), c.Reached...)
			worse.Reached[n] = s.Minus(c.Reached[n], s.Point(p[:]))
			expect("a place reached left out", &worse, far, proof.ErrRefused)
			for i := range parts {
				if n == 0 || !s.Contains(c.Ends[n-1][i], p[:]) {
					continue
				}
				rungs++
				worse = *c
				worse.Ends = append([][]diagram.Set(nil), c.Ends...)
				worse.Ends[n-1] = append([]diagram.Set(nil), c.Ends[n-1]...)
				worse.Ends[n-1][i] = s.Minus(c.Ends[n-1][i], s.Point(p[:]))
				expect("an end of a move left out", &worse, far, proof.ErrRefused)
			}
		}
		one := *c
		one.Parts = []int{1}
		expect("a part left out", &one, far, proof.ErrRefused)
		one.Parts = []int{1, 1}
		expect("a part twice", &one, far, proof.ErrRefused)
		one = *c
		one.Free = diagram.All
		expect("all free", &one, far, proof.ErrRefused)
		one = *c
		one.Ends = one.Ends[1:]
		expect("a move left out", &one, far, proof.ErrRefused)
	}
	if passed < 500 || refused < 500 || rungs < 200 {
		t.Errorf("%d passed, %d were refused, %d ends were taken away: too few", passed, refused, rungs)
	}
}
