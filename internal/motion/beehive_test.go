package motion_test

import (
	"context"
	"slices"
	"testing"

	"feint/internal/motion"
)

// beehive is an invented box of twelve travels: a dipper that slides and turns
// goes down a slot and through four comb rings, and six slats stand round the
// hive. The pin of the dipper passes a ring only at its gate; a ring turns freely
// only while its own slat is open; the slats hang together as linked rings do;
// and the last slat bars the lower end.
func beehive() *toy {
	const rings, slats = 4, 6
	gates := [rings]int{1, 3, 3, 1}
	y := &toy{parts: 1}
	add := func(part, size int, full bool) int {
		y.sizes, y.full, y.part = append(y.sizes, size), append(y.full, full), append(y.part, part)
		y.start = append(y.start, 0)
		y.parts = max(y.parts, part+1)
		return len(y.sizes) - 1
	}
	depth, twist := add(1, 8, false), add(1, 4, true)
	y.rule(1, 0, []int{depth, twist}, func(u []int) bool { return u[0] == 0 || u[0] > rings || u[1] == 2 })
	for i := range rings {
		ring := add(y.parts, 4, true)
		y.rule(1, y.part[ring], []int{depth, twist, ring}, func(u []int) bool {
			return u[0] != i+1 || (u[1]+gates[i]+4-u[2])%4 == 0
		})
	}
	first := len(y.sizes)
	for j := range slats {
		slat := add(y.parts, 4, false)
		for k := range j {
			y.rule(y.part[slat], y.part[first+k], []int{slat, first + k}, func(u []int) bool {
				return u[0] == 0 || u[0] == 3 || u[1] == [2]int{0, 3}[b2i(k == j-1)]
			})
		}
		if j < rings {
			y.rule(y.part[slat], y.part[2+j], []int{slat, 2 + j}, func(u []int) bool {
				return u[0] == 3 || u[1] == 0 || u[0] == 0 && u[1] == (2+gates[j])%4
			})
		}
	}
	last := len(y.sizes) - 1
	y.rule(1, y.part[last], []int{depth, last}, func(u []int) bool { return u[0] < 5 || u[1] == 3 })
	y.goal = toyRegion{{depth, 7, 8}}
	y.steps = []toyRegion{
		{{last, 3, 4}},                 // the last slat open
		{{depth, 2, 3}},                // the pin in the second ring
		{{first, 3, 4}, {depth, 0, 1}}, // the first slat open, the dipper up
		{{twist, 2, 3}},                // the dipper turned half round
		{{twist, 3, 4}},                // and that the one way round: not needed
	}
	return y
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// rule adds a table from a condition.
func (t *toy) rule(a, b int, travels []int, free func(u []int) bool) {
	n := 1
	for _, k := range travels {
		n *= t.sizes[k]
	}
	x := toyTable{a: a, b: b, travels: travels, free: make([]bool, n)}
	for i := range x.free {
		u, at := make([]int, len(travels)), i
		for j := len(travels) - 1; j >= 0; j-- {
			u[j], at = at%t.sizes[travels[j]], at/t.sizes[travels[j]]
		}
		x.free[i] = free(u)
	}
	t.tables = append(t.tables, x)
}

// leastBits is the moves to the goal without the configurations of avoid, -1 if
// there is no way: a search configuration by configuration, which asks the tables
// only where it comes.
func leastBits(y *toy, avoid func(q []int) bool) int {
	const unseen, blocked = -1, -2
	at := make([]int8, y.count())
	for i := range at {
		at[i] = unseen
	}
	open := func(i int) bool {
		if at[i] != unseen {
			return false
		}
		if q := y.cells(i); !y.free(q) || avoid(q) {
			at[i] = blocked
			return false
		}
		return true
	}
	root := y.index(y.start)
	if !open(root) {
		return -1
	}
	at[root] = 0
	front := []int{root}
	for moves := int8(0); len(front) > 0; moves++ {
		var next []int
		for _, i := range front {
			if y.goal.has(y.cells(i)) {
				return int(moves)
			}
			for p := 1; p < y.parts; p++ {
				next = append(next, spread(y, i, p, open, at, moves+1)...)
			}
		}
		front = next
	}
	return -1
}

// spread marks what one move of a part newly reaches from i. It passes through
// what is marked already: another part may have come there, this one goes on.
func spread(y *toy, i, part int, open func(int) bool, at []int8, mark int8) []int {
	var out []int
	seen := map[int]bool{i: true}
	queue := []int{i}
	for len(queue) > 0 {
		i, queue = queue[0], queue[1:]
		for _, k := range y.travelsOf(part) {
			for _, j := range y.neighbours(i, k) {
				if seen[j] || at[j] < 0 && !open(j) {
					continue
				}
				seen[j] = true
				queue = append(queue, j)
				if at[j] < 0 {
					at[j] = mark
					out = append(out, j)
				}
			}
		}
	}
	return out
}

// TestTwelveTravels: the box against a search configuration by configuration
// (a second algorithm of ours, by exhaustion).
func TestTwelveTravels(t *testing.T) {
	y := beehive()
	m, maps := y.mechanism(t)
	r, err := motion.Solve(context.Background(), m, maps, motion.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := leastBits(y, func([]int) bool { return false })
	if len(m.Travels) != 12 || r.Drawn.Opens != motion.Yes || r.Drawn.Moves != want || len(r.Way.Moves) != want {
		t.Errorf("%d travels: %+v, want %d moves", len(m.Travels), r.Drawn, want)
	}
	for i, s := range r.Steps {
		if want := answer(leastBits(y, y.steps[i].has) < 0); s.Unavoidable != want {
			t.Errorf("step %d unavoidable: %v, want %v", i, s.Unavoidable, want)
		}
	}
	for p := 1; p < y.parts; p++ {
		rests := func(q []int) bool {
			for _, k := range y.travelsOf(p) {
				if q[k] != y.start[k] {
					return true
				}
			}
			return false
		}
		if idle := slices.Contains(r.Idle, p); idle != (leastBits(y, rests) >= 0) {
			t.Errorf("part %d idle: %v", p, idle)
		}
	}
	if r.Reset.Possible != motion.Yes || r.Reset.Moves != want {
		t.Errorf("reset %+v, want %d", r.Reset, want)
	}
}
