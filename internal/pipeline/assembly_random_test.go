package pipeline

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"feint/internal/hands"
)

// spot is a cell of a box of cells.
type spot [3]int

func (s spot) plus(o spot) spot { return spot{s[0] + o[0], s[1] + o[1], s[2] + o[2]} }

// den is an invented box of cells of 6 mm: walls all round and within, some of them gone,
// and one part of a few cells.
type den struct {
	n     int
	walls map[spot]bool
	part  []spot
}

// dig makes a den: of n cells a side, the inner ones free with some probability, and a few
// holes in the walls.
func dig(r *rand.Rand, n int) *den {
	d := &den{n: n, walls: map[spot]bool{}}
	var free []spot
	for x := range n {
		for y := range n {
			for z := range n {
				s := spot{x, y, z}
				edge := min(x, y, z) == 0 || max(x, y, z) == n-1
				if d.walls[s] = edge && r.Float64() < 0.94 || !edge && r.Float64() < 0.25; !d.walls[s] && !edge {
					free = append(free, s)
				}
			}
		}
	}
	if len(free) == 0 {
		return nil
	}
	d.part = []spot{free[r.IntN(len(free))]}
	for range 12 {
		step := spot{}
		step[r.IntN(3)] = 2*r.IntN(2) - 1
		s := d.part[r.IntN(len(d.part))].plus(step)
		if len(d.part) < 4 && slices.Contains(free, s) && !slices.Contains(d.part, s) {
			d.part = append(d.part, s)
		}
	}
	return d
}

// bends is the least number of straight stretches in which the part gets out, by trying
// every shift by whole cells; -1 if it does not. Cells and part are aligned and the gap
// between them is small, so that what is free of shifts by parts of a cell is free of those
// by the whole cells beside it: nothing else gets out without being turned.
func (d *den) bends() int {
	fits := func(by spot) bool {
		for _, s := range d.part {
			if d.walls[s.plus(by)] {
				return false
			}
		}
		return true
	}
	out := func(by spot) bool {
		for _, s := range d.part {
			if s = s.plus(by); min(s[0], s[1], s[2]) >= 0 && max(s[0], s[1], s[2]) < d.n {
				return false
			}
		}
		return true
	}
	seen, now := map[spot]bool{{}: true}, []spot{{}}
	for n := 1; len(now) > 0; n++ {
		var next []spot
		for _, s := range now {
			for i := range 6 {
				step := spot{}
				step[i/2] = 1 - 2*(i%2)
				for at := s.plus(step); fits(at); at = at.plus(step) {
					if out(at) {
						return n
					}
					if !seen[at] {
						seen[at] = true
						next = append(next, at)
					}
				}
			}
		}
		now = next
	}
	return -1
}

// design writes the den out: cells of 6 mm, the part 0.3 mm smaller all round.
func (d *den) design() string {
	var b strings.Builder
	fmt.Fprintf(&b, "den = part(\"den\", frame = True, solid = block((0, %d), (0, %d), (0, %d))", 6*d.n, 6*d.n, 6*d.n)
	for x := range d.n {
		for y := range d.n {
			for z := range d.n {
				if s := (spot{x, y, z}); !d.walls[s] { // runs out of the box where it ends there
					var lo, hi [3]float64
					for k, v := range s {
						lo[k], hi[k] = float64(6*v), float64(6*v+6)
						if v == d.n-1 {
							hi[k]++
						}
						if v == 0 {
							lo[k]--
						}
					}
					fmt.Fprintf(&b, "\n - block((%g, %g), (%g, %g), (%g, %g))", lo[0], hi[0], lo[1], hi[1], lo[2], hi[2])
				}
			}
		}
	}
	b.WriteString(")\nbun = part(\"bun\", solid = ")
	var blocks []string
	for i, s := range d.part {
		for _, o := range d.part[i:] { // the cell itself, and what joins it to one beside it
			var side [3]string
			apart := 0
			for k := range s {
				apart += max(s[k]-o[k], o[k]-s[k])
				side[k] = fmt.Sprintf("(%g, %g)", float64(6*min(s[k], o[k]))+0.3, float64(6*max(s[k], o[k])+6)-0.3)
			}
			if apart < 2 {
				blocks = append(blocks, "block("+strings.Join(side[:], ", ")+")")
			}
		}
	}
	b.WriteString(strings.Join(blocks, " + "))
	b.WriteString(", travels = [slide(z, 0, 0.1)])\ngoal(\"up\", {bun.slide: (0.05, None)})\n")
	return b.String()
}

// TestAssemblyRandom: of dens of random cells, in which trying all shifts tells exactly
// whether the one part gets out without being turned, and in how few straight stretches:
// a way found without turns exists and has no fewer; one of at most four is found; and what
// is proved to keep the part does.
func TestAssemblyRandom(t *testing.T) {
	each := 3
	if testing.Short() {
		each = 1
	}
	r := rand.New(rand.NewPCG(3, 4))
	dens, told := map[int]int{}, map[string]int{}
	for i := range 4000 {
		d := dig(r, 5)
		if d == nil {
			continue
		}
		want := d.bends()
		if want > 5 || dens[want] == each {
			continue
		}
		dens[want]++
		file := filepath.Join(t.TempDir(), "den.star")
		if err := os.WriteFile(file, []byte(d.design()), 0o600); err != nil {
			t.Fatal(err)
		}
		m, err := Load(file, Options{Growth: DefaultGrowth})
		if err != nil {
			t.Fatal(err)
		}
		out := &Outcome{Mechanism: m}
		if err := out.build(context.Background(), Options{Growth: DefaultGrowth}); err != nil {
			t.Fatal(err)
		}
		a, err := hands.AssembleFurther(context.Background(), m, bodyMeshes(out), [][]float64{m.Start})
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Order) == 0 {
			if want > 0 && want <= 4 {
				t.Errorf("den %d: gets out in %d stretches, %+v\n%s", i, want, a, d.design())
			}
			if want > 0 && a.Stuck[0].Kept != hands.Unproved {
				t.Errorf("den %d: gets out in %d stretches, and it is proved that it does not: %+v", i, want, a)
			}
			told[fmt.Sprintf("%d: stuck, proved %d", want, a.Stuck[0].Kept)]++
			continue
		}
		told[fmt.Sprintf("%d: out", want)]++
		e, turned := &a.Order[0], false
		got := max(1, len(e.Path))
		if e.Leg != nil {
			got = 2
		}
		for _, s := range e.Path {
			turned = turned || s.Angle != 0
		}
		if e.Bend == nil && !turned && (want < 0 || got < want) {
			t.Errorf("den %d: %d stretches, in truth %d: %+v", i, got, want, e)
		}
	}
	t.Logf("%v, %v", dens, told)
	if dens[-1] < each || dens[3] < each || dens[4] < each {
		t.Errorf("the dens try too little: %v", dens)
	}
}
