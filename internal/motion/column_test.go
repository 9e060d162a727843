package motion_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/motion"
)

// column is an invented box: a rod whose pin climbs a stair in the frame, an
// eighth of a turn a storey, through n turning rings. The pin passes a ring only
// at its gate, and each ring takes the next one along: their turns differ by an
// eighth to five of them.
func column(n int) *toy {
	const eighths = 8
	height := 4
	for height < 2*n+2 {
		height *= 2
	}
	y := &toy{parts: 1}
	add := func(part, size int, full bool) int {
		y.sizes, y.full, y.part = append(y.sizes, size), append(y.full, full), append(y.part, part)
		y.start = append(y.start, 0)
		y.parts = max(y.parts, part+1)
		return len(y.sizes) - 1
	}
	rise, twist := add(1, height, false), add(1, eighths, true)
	y.rule(1, 0, []int{rise, twist}, func(u []int) bool {
		storey, at := u[0]/2, u[1]
		return u[0] > 2*n || at == storey%eighths || u[0]%2 == 0 && at == (storey+eighths-1)%eighths
	})
	for i := range n {
		ring := add(y.parts, eighths, true)
		y.rule(1, y.part[ring], []int{rise, ring}, func(u []int) bool {
			return u[0] != 2*i+1 || u[1] == (3*i+6)%eighths
		})
		if i > 0 {
			y.rule(y.part[ring], y.part[ring-1], []int{ring, ring - 1}, func(u []int) bool {
				return (u[1]-u[0]+eighths)%eighths < 5
			})
		}
	}
	y.goal = toyRegion{{rise, 2*n + 1, height}}
	return y
}

// climb is the fewest moves of a column and the nodes made to find them.
func climb(tb testing.TB, y *toy) (moves, nodes int) {
	tb.Helper()
	m, maps := y.mechanism(tb)
	l, err := motion.Lay(context.Background(), m, maps, motion.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	b := l.Board(false)
	layers, ok := b.Layers(l.Ends(false))
	if !ok || b.Space.Err() != nil {
		tb.Fatalf("no way up: %v", b.Space.Err())
	}
	return len(layers) - 1, b.Space.Made()
}

// TestColumn: what the benchmark measures, against a search configuration by
// configuration.
func TestColumn(t *testing.T) {
	for n := 1; n <= 4; n++ {
		y := column(n)
		got, _ := climb(t, y)
		if want := leastBits(y, func([]int) bool { return false }); got != want {
			t.Errorf("%d rings: %d moves, want %d", n, got, want)
		}
	}
}

// BenchmarkTurningRings: cost against the number of rings, for docs/performance.md,
// beside the search that lists configurations.
func BenchmarkTurningRings(b *testing.B) {
	for n := 2; n <= 10; n++ {
		y := column(n)
		b.Run(fmt.Sprint("diagrams/", n), func(b *testing.B) {
			moves, nodes := 0, 0
			for b.Loop() {
				moves, nodes = climb(b, y)
			}
			b.ReportMetric(float64(moves), "moves")
			b.ReportMetric(float64(nodes), "nodes")
			b.ReportMetric(float64(y.count()), "cells")
		})
		if n > 5 {
			continue // eight times as many configurations for every ring
		}
		b.Run(fmt.Sprint("listed/", n), func(b *testing.B) {
			moves := 0
			for b.Loop() {
				moves = leastBits(y, func([]int) bool { return false })
			}
			b.ReportMetric(float64(moves), "moves")
		})
	}
}

// TestWriteColumns writes the tables for scripts/peers/rings.sh into the folder
// FEINT_MAPS; testdata/reference/ompl/SOURCE.md has the format.
func TestWriteColumns(t *testing.T) {
	dir := os.Getenv("FEINT_MAPS")
	if dir == "" {
		t.Skip("FEINT_MAPS is not set")
	}
	for n := 2; n <= 10; n++ {
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprint(n, ".txt")), []byte(column(n).yesNo()), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// yesNo is the toy in the format of the planner of testdata/reference/ompl.
func (t *toy) yesNo() string {
	var w strings.Builder
	ends := func(k int) string {
		if t.full[k] {
			return "full"
		}
		return "ends"
	}
	hi := func(k int) float64 { return t.value(k, float64(t.sizes[k])) }
	fmt.Fprintf(&w, "maps 1\ntravels %d\n", len(t.sizes))
	for k, v := range t.middle(t.start) {
		fmt.Fprintf(&w, "t%d 0 %.17g %s %.17g\n", k, hi(k), ends(k), v)
	}
	fmt.Fprintf(&w, "goal %d\n", len(t.goal))
	for _, s := range t.goal {
		fmt.Fprintf(&w, "%d %.17g %.17g\n", s.travel, t.value(s.travel, float64(s.lo)), t.value(s.travel, float64(s.hi)))
	}
	fmt.Fprintf(&w, "pairs %d\n", len(t.tables))
	for i := range t.tables {
		x := &t.tables[i]
		fmt.Fprintf(&w, "pair p%d p%d %d\n", x.a, x.b, len(x.travels))
		for _, k := range x.travels {
			fmt.Fprintf(&w, "coord 0 %.17g %d %s 1 %d 1\n", hi(k), t.sizes[k], ends(k), k)
		}
		fmt.Fprintf(&w, "runs %d\n", len(x.free))
		for _, ok := range x.free {
			fmt.Fprintf(&w, "1 %d\n", b2i(ok))
		}
	}
	return w.String()
}
