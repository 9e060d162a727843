package proof_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/diagram"
	"feint/internal/mechanism"
	"feint/internal/proof"
)

// board is a mechanism without geometry: travels of the sizes given, unit 1.
func board(full int, sizes ...int32) (*mechanism.Mechanism, *diagram.Space) {
	m := &mechanism.Mechanism{Parts: []mechanism.Part{{Name: "frame", Frame: true, Carrier: -1}}}
	var levels []diagram.Level
	for i, n := range sizes {
		t := mechanism.Travel{Name: "t", Part: i + 1, Hi: float64(n)}
		if i == full {
			t.Kind, t.Full, t.Hi = mechanism.Turn, true, 2*math.Pi
		}
		m.Parts = append(m.Parts, mechanism.Part{Name: "p", Travels: []int{i}})
		m.Travels = append(m.Travels, t)
		m.Start = append(m.Start, t.Hi/(2*float64(n))) // the middle of unit 0
		levels = append(levels, diagram.Level{Size: n, Cyclic: i == full})
	}
	s, err := diagram.New(context.Background(), levels, diagram.Options{})
	if err != nil {
		panic(err)
	}
	return m, s
}

// flood is the brute force: the units reached from p one step at a time.
func flood(s *diagram.Space, free diagram.Set, p []int32) [][]int32 {
	name := func(p []int32) (n int32) {
		for l, u := range p {
			n = n*s.Levels()[l].Size + u
		}
		return n
	}
	var out [][]int32
	seen := map[int32]bool{}
	todo := [][]int32{p}
	for len(todo) > 0 {
		q := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if seen[name(q)] || !s.Contains(free, q) {
			continue
		}
		seen[name(q)] = true
		out = append(out, q)
		for l, lv := range s.Levels() {
			for _, d := range [2]int32{-1, 1} {
				n := append([]int32(nil), q...)
				if n[l] += d; lv.Cyclic {
					n[l] = (n[l] + lv.Size) % lv.Size
				}
				if n[l] >= 0 && n[l] < lv.Size {
					todo = append(todo, n)
				}
			}
		}
	}
	return out
}

func union(s *diagram.Space, ps [][]int32) diagram.Set {
	x := diagram.Empty
	for _, p := range ps {
		x = s.Or(x, s.Point(p))
	}
	return x
}

// Brute force makes the certificates; every one of them must pass, and every one
// with a point of Reached taken away, with a point of Free added beside Reached,
// or with the goal put on a point reached must be refused.
func TestClosedMutations(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	ctx := context.Background()
	tried := 0
	for round := range 60 {
		m, s := board(round%3, 4, 5, 6)
		free := diagram.Empty
		for range 50 {
			free = s.Or(free, s.Point([]int32{r.Int32N(4), r.Int32N(5), r.Int32N(6)}))
		}
		free = s.Or(free, s.Point([]int32{0, 0, 0}))
		points := flood(s, free, []int32{0, 0, 0})
		c := &proof.Closure{Space: s, Travels: []int{0, 1, 2}, Free: free, Reached: union(s, points)}
		at := func(p []int32) (g mechanism.Region) {
			for l, u := range p {
				w := m.Travels[l].Hi / float64(s.Levels()[l].Size)
				g.Bounds = append(g.Bounds, mechanism.Bound{Travel: l, Lo: w * (float64(u) + 0.4), Hi: w * (float64(u) + 0.6)})
			}
			return g
		}
		never := at([]int32{0, 0, 0})
		never.Bounds[0].Lo, never.Bounds[0].Hi = 90, 91
		if m.Travels[0].Full { // no value is out of range: take a bound that excludes another
			never = at([]int32{0, 0, 0})
			never.Bounds = append(never.Bounds, at([]int32{2, 0, 0}).Bounds[0])
		}
		if err := proof.Closed(ctx, m, c, never); err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		for _, p := range points {
			tried++
			worse := *c
			worse.Reached = s.Minus(c.Reached, s.Point(p))
			if err := proof.Closed(ctx, m, &worse, never); !errors.Is(err, proof.ErrRefused) {
				t.Fatalf("round %d: without %v: %v", round, p, err)
			}
			if err := proof.Closed(ctx, m, c, at(p)); !errors.Is(err, proof.ErrRefused) {
				t.Fatalf("round %d: goal at %v: %v", round, p, err)
			}
		}
		for _, p := range flood(s, diagram.All, []int32{0, 0, 0}) {
			if s.Contains(free, p) || len(flood(s, s.Or(free, s.Point(p)), []int32{0, 0, 0})) == len(points) {
				continue
			}
			worse := *c
			worse.Free = s.Or(free, s.Point(p))
			if err := proof.Closed(ctx, m, &worse, never); !errors.Is(err, proof.ErrRefused) {
				t.Fatalf("round %d: with %v free: %v", round, p, err)
			}
		}
	}
	if tried < 200 {
		t.Errorf("only %d points tried", tried)
	}
}

// A certificate of other travels, of a travel twice, or of a ring cut open is
// refused; a start on the border of two units needs both.
func TestClosedFits(t *testing.T) {
	ctx := context.Background()
	m, s := board(1, 4, 4)
	free := s.Box([]int{0}, []diagram.Run{{Lo: 0, Hi: 2}})
	goal := mechanism.Region{Bounds: []mechanism.Bound{{Travel: 0, Lo: 2.5, Hi: math.Inf(1)}}}
	good := proof.Closure{Space: s, Travels: []int{0, 1}, Free: free, Reached: free}
	if err := proof.Closed(ctx, m, &good, goal); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(*proof.Closure){
		"no space":    func(c *proof.Closure) { c.Space = nil },
		"one travel":  func(c *proof.Closure) { c.Travels = []int{0} },
		"one twice":   func(c *proof.Closure) { c.Travels = []int{0, 0} },
		"exchanged":   func(c *proof.Closure) { c.Travels = []int{1, 0} },
		"no such":     func(c *proof.Closure) { c.Travels = []int{0, 7} },
		"all free":    func(c *proof.Closure) { c.Free = diagram.All },
		"all reached": func(c *proof.Closure) { c.Reached = diagram.All },
		"none":        func(c *proof.Closure) { c.Reached = diagram.Empty },
	} {
		c := good
		change(&c)
		if err := proof.Closed(ctx, m, &c, goal); !errors.Is(err, proof.ErrRefused) {
			t.Errorf("%s: %v", name, err)
		}
	}
	// unit 0 and 1 both touch the value 1; only one of them is reached
	m.Start[0] = 1
	half := good
	half.Free = s.Minus(free, s.Box([]int{0, 1}, []diagram.Run{{Lo: 0, Hi: 1}, {Lo: 1, Hi: 4}}))
	half.Reached = s.Box([]int{0}, []diagram.Run{{Lo: 1, Hi: 2}})
	if err := proof.Closed(ctx, m, &half, goal); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("half a start: %v", err)
	}
}

// The goal of a full turn may run through zero.
func TestClosedGoalThroughZero(t *testing.T) {
	m, s := board(0, 8)
	at := func(lo, hi int32) diagram.Set { return s.Box([]int{0}, []diagram.Run{{Lo: lo, Hi: hi}}) }
	c := &proof.Closure{Space: s, Travels: []int{0}, Free: at(2, 5), Reached: at(2, 5)}
	unit := math.Pi / 4
	m.Start[0] = 3.5 * unit
	for _, g := range []struct {
		lo, hi float64
		want   error
	}{{6.5, 0.5, nil}, {6.5, 2.5, proof.ErrRefused}, {4.5, 0.5, proof.ErrRefused}, {5.5, 1.5, nil}, {-1.5, 0.5, nil}, {-3.5, 0.5, proof.ErrRefused}} {
		goal := mechanism.Region{Bounds: []mechanism.Bound{{Lo: g.lo * unit, Hi: g.hi * unit}}}
		if err := proof.Closed(context.Background(), m, c, goal); !errors.Is(err, g.want) {
			t.Errorf("goal %g to %g units: %v, want %v", g.lo, g.hi, err, g.want)
		}
	}
}
