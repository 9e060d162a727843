package proof_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/proof"
)

// yard is a small world of bricks on the squares of a board, each on a rail of its own,
// along x or y: of the hand, pushed, or falling. It is played square by square, by a
// program that knows no distance and no mesh.
type yard struct {
	bricks []brick
	up     int // of sides
}

type brick struct {
	x, y, w, h int  // as drawn
	level      bool // its rail runs along x
	by         mechanism.Moved
	at         int // along its rail
}

const yardSize = 8

func sides() []geom.Vec { return []geom.Vec{at(0, 1, 0), at(1, 0, 0), at(0, -1, 0), at(-1, 0, 0)} }

func (b *brick) place() (x, y int) {
	if b.level {
		return b.x + b.at, b.y
	}
	return b.x, b.y + b.at
}

// meets lists what brick i would lie on if it went by d, and whether it keeps its rail.
func (w *yard) meets(i, d int) (on []int, within bool) {
	b := w.bricks[i]
	b.at += d
	x, y := b.place()
	if x < 0 || y < 0 || x+b.w > yardSize || y+b.h > yardSize {
		return nil, false
	}
	for j := range w.bricks {
		o := &w.bricks[j]
		if p, q := o.place(); j != i && x < p+o.w && p < x+b.w && y < q+o.h && q < y+b.h {
			on = append(on, j)
		}
	}
	return on, true
}

// push moves brick i by d, one square, with all before it; false if that is stopped.
func (w *yard) push(i, d, chain int) bool {
	on, ok := w.meets(i, d)
	if !ok || chain < 0 {
		return false
	}
	for _, j := range on {
		o := &w.bricks[j]
		if o.by == mechanism.ByHand || o.level != w.bricks[i].level {
			return false
		}
		if more, _ := w.meets(i, d); contains(more, j) && !w.push(j, d, chain-1) {
			return false
		}
	}
	w.bricks[i].at += d
	return true
}

func contains(s []int, x int) bool {
	for _, v := range s {
		if v == x {
			return true
		}
	}
	return false
}

// drop is which way a brick falls, 0 if it does not.
func (w *yard) drop(b *brick) int {
	s := sides()[w.up]
	d := -int(s.Y)
	if b.level {
		d = -int(s.X)
	}
	if b.by != mechanism.ByGravity {
		return 0
	}
	return d
}

// settle lets all fall, square by square.
func (w *yard) settle() {
	for again := true; again; {
		again = false
		for i := range w.bricks {
			d := w.drop(&w.bricks[i])
			if d == 0 {
				continue
			}
			if on, ok := w.meets(i, d); ok && len(on) == 0 {
				w.bricks[i].at += d
				again = true
			}
		}
	}
}

// stroke leads brick i by up to n squares; it tells how many it went.
func (w *yard) stroke(i, n int) (went int) {
	d := 1
	if n < 0 {
		d, n = -1, -n
	}
	for range n {
		was := append([]brick(nil), w.bricks...)
		if !w.push(i, d, 3) {
			w.bricks = was
			return went * d
		}
		w.settle()
		went++
	}
	return went * d
}

func (w *yard) told() []float64 {
	out := make([]float64, len(w.bricks))
	for i := range w.bricks {
		out[i] = float64(w.bricks[i].at)
	}
	return out
}

// build draws the world: a brick has its full size along its rail and 0.1 less on either
// side across it, so that nothing rubs.
func (w *yard) build() *scene {
	s := newScene(far())
	s.m.Attitudes = sides()
	s.m.Upright = sides()[w.up]
	for i, b := range w.bricks {
		lo, hi := at(float64(b.x), float64(b.y), 0), at(float64(b.x+b.w), float64(b.y+b.h), 1)
		tr := slide(b.by, at(0, 1, 0), float64(yardSize-b.y-b.h))
		tr.Lo = float64(-b.y)
		if b.level {
			tr = slide(b.by, at(1, 0, 0), float64(yardSize-b.x-b.w))
			tr.Lo = float64(-b.x)
			lo.Y, hi.Y = lo.Y+0.1, hi.Y-0.1
		} else {
			lo.X, hi.X = lo.X+0.1, hi.X-0.1
		}
		s.add(fmt.Sprintf("brick %d", i), block(lo, hi), tr)
	}
	return s
}

// newYard throws bricks on the board.
func newYard(r *rand.Rand) *yard {
	w := &yard{up: r.IntN(4)}
	for range 40 {
		b := brick{x: r.IntN(yardSize), y: r.IntN(yardSize), w: 1 + r.IntN(3), h: 1, level: r.IntN(2) == 0}
		b.by = []mechanism.Moved{mechanism.ByHand, mechanism.ByContact, mechanism.ByContact, mechanism.ByGravity, mechanism.ByGravity}[r.IntN(5)]
		if len(w.bricks) < 2 {
			b.by = mechanism.ByHand
		}
		if !b.level {
			b.w, b.h = 1, b.w
		}
		if k := r.IntN(4); k < min(2, len(w.bricks)) { // in the way of the hand
			o := &w.bricks[k]
			b.level, b.w, b.h = o.level, o.w, o.h
			if b.level {
				b.y = o.y
			} else {
				b.x = o.x
			}
		}
		w.bricks = append(w.bricks, b)
		if on, ok := w.meets(len(w.bricks)-1, 0); !ok || len(on) > 0 || len(w.bricks) > 7 {
			w.bricks = w.bricks[:len(w.bricks)-1]
		}
	}
	return w
}

// play makes a random way and the world after it.
func (w *yard) play(r *rand.Rand) (start []float64, deeds []proof.Deed) {
	w.settle()
	start = w.told()
	for range 12 {
		if r.IntN(3) == 0 {
			w.up = (w.up + []int{1, 3}[r.IntN(2)]) % 4
			w.settle()
			deeds = append(deeds, box(sides()[w.up], w.told()...))
			continue
		}
		i := r.IntN(2)
		from := w.bricks[i].at
		if n := w.stroke(i, r.IntN(13)-6); n != 0 {
			deeds = append(deeds, hand(i, float64(from), float64(from+n), w.told()...))
		}
	}
	return start, deeds
}

// Brute force of another kind: random worlds played square by square. What is told of
// them must pass, and nothing else may: each value told wrong by one square, each stroke
// led one square beyond what stops it, each deed left out that something came of.
func TestLedAgainstSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	counts := map[string]int{}
	for round := range 30 {
		w := newYard(r)
		if len(w.bricks) < 4 {
			continue
		}
		s := w.build()
		start, deeds := w.play(r)
		d := s.way(start, deeds...)
		for i := range d.Near {
			d.Near[i] = 0.15
		}
		rep, err := s.led(d)
		switch {
		case errors.Is(err, proof.ErrOpen):
			counts["open"]++ // several fell at once, in an order that is not said
			continue
		case err != nil:
			t.Fatalf("round %d: %v at %.4g\n%+v\n%+v", round, err, rep.At, w.bricks, deeds)
		}
		counts["passed"]++
		counts["pushed"] += rep.Pushed
		counts["fallen"] += rep.Fallen
		corrupt(t, s, w, d, counts)
	}
	t.Log(counts)
	if counts["passed"] < 20 || counts["pushed"] < 12 || counts["fallen"] < 100 || counts["refused"] < 200 {
		t.Errorf("the test tests little: %v", counts)
	}
}

// corrupt spoils a way that passes in every field of a deed picked by the way's length.
func corrupt(t *testing.T, s *scene, w *yard, d *proof.Directed, counts map[string]int) {
	t.Helper()
	try := func(what string, change func(d *proof.Directed)) {
		x := *d
		x.Deeds = append([]proof.Deed(nil), d.Deeds...)
		for i := range x.Deeds {
			x.Deeds[i].Strokes = append([]proof.Stroke(nil), x.Deeds[i].Strokes...)
			x.Deeds[i].Told = append([]float64(nil), x.Deeds[i].Told...)
		}
		change(&x)
		if _, err := s.led(&x); err == nil {
			t.Errorf("%s passed\n%+v\n%+v", what, w.bricks, x.Deeds)
		} else if errors.Is(err, proof.ErrRefused) {
			counts["refused"]++
		}
	}
	n := len(d.Deeds)
	if n == 0 {
		return
	}
	last := n - 1
	try("a value one square off", func(d *proof.Directed) { d.Deeds[last].Told[n%len(d.Start)]++ })
	try("a start one square off", func(d *proof.Directed) { d.Start = append([]float64(nil), d.Start...); d.Start[0]++ })
	for i := range d.Deeds {
		if d.Deeds[i].Kind == proof.TurnBox {
			try("a turn to no attitude", func(d *proof.Directed) { d.Deeds[i].Up = at(0, 0, 1) })
			continue
		}
		try("a stroke of another brick", func(d *proof.Directed) { d.Deeds[i].Strokes[0].Part = len(d.Start) })
		try("a stroke from elsewhere", func(d *proof.Directed) { d.Deeds[i].Strokes[0].From++ })
		try("a stroke to elsewhere", func(d *proof.Directed) { d.Deeds[i].Strokes[0].To++ })
		try("a stroke to nowhere", func(d *proof.Directed) { d.Deeds[i].Strokes[0].To = 1e9 })
	}
}
