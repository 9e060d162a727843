package pipeline

import (
	"context"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"feint/internal/clearance"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// TestWriteYesNo proves the design FEINT_DESIGN, writes its maps as drawn, cut to
// yes and no, to the file FEINT_MAPS for scripts/peers/way.sh, and tells how long
// motion takes to find a way over the maps as they then are. The format is that of
// testdata/reference/ompl/SOURCE.md.
func TestWriteYesNo(t *testing.T) {
	path, to := os.Getenv("FEINT_DESIGN"), os.Getenv("FEINT_MAPS")
	if path == "" || to == "" {
		t.Skip("FEINT_DESIGN and FEINT_MAPS are not set")
	}
	ctx, o := context.Background(), Options{Cache: store(t)}
	out, err := Prove(ctx, path, o)
	if err != nil {
		t.Fatal(err)
	}
	ps, _, err := maps(ctx, out.Mechanism, out.Bodies, nil, o)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, []byte(yesNo(out.Mechanism, ps)), 0o600); err != nil {
		t.Fatal(err)
	}
	bare := *out.Mechanism
	bare.Steps = nil
	begin := time.Now()
	r, err := motion.Solve(ctx, &bare, asPairMaps(ps), motion.Options{})
	if err != nil || r.Way == nil {
		t.Fatal(r, err)
	}
	fmt.Printf("feint: a way of %d moves, the limit above, the way back and the rest after %.3f s\n", len(r.Way.Moves), time.Since(begin).Seconds())
}

func yesNo(m *mechanism.Mechanism, ps []*pairMap) string {
	var w strings.Builder
	ends := func(ring bool) string {
		if ring {
			return "full"
		}
		return "ends"
	}
	fmt.Fprintf(&w, "maps 1\ntravels %d\n", len(m.Travels))
	for i := range m.Travels {
		v := &m.Travels[i]
		fmt.Fprintf(&w, "t%d %.17g %.17g %s %.17g\n", i, v.Lo, v.Hi, ends(v.Full), m.Start[i])
	}
	fmt.Fprintf(&w, "goal %d\n", len(m.Goal.Bounds))
	for _, b := range m.Goal.Bounds {
		v := &m.Travels[b.Travel]
		fmt.Fprintf(&w, "%d %.17g %.17g\n", b.Travel, max(b.Lo, v.Lo), min(b.Hi, v.Hi))
	}
	fmt.Fprintf(&w, "pairs %d\n", len(ps))
	for _, p := range ps {
		a, b := p.Parts()
		coords := p.Coords()
		fmt.Fprintf(&w, "pair p%d p%d %d\n", a, b, len(coords))
		sizes := grid(coords)
		for i, c := range coords {
			fmt.Fprintf(&w, "coord %.17g %.17g %d %s %d", c.Lo, c.Hi, sizes[i], ends(c.Cyclic), len(c.Terms))
			for _, k := range c.Terms {
				fmt.Fprintf(&w, " %d %d", k.Travel, k.Sign)
			}
			fmt.Fprintln(&w)
		}
		runs(&w, sample(p, coords, sizes, m.Needs(a, b, 0)))
	}
	return w.String()
}

// grid is 0.1 mm and half a degree, coarser where that makes over four million
// fields.
func grid(coords []clearance.Coord) []int {
	for coarser := 1.0; ; coarser *= 2 {
		n, sizes := 1.0, make([]int, len(coords))
		for i, c := range coords {
			per := 0.1
			if c.Angle {
				per = math.Pi / 360
			}
			sizes[i] = max(1, int(math.Ceil((c.Hi-c.Lo)/(per*coarser))))
			n *= float64(sizes[i])
		}
		if n <= 4e6 {
			return sizes
		}
	}
}

// sample tells of the middle of every field whether it is surely free.
func sample(p *pairMap, coords []clearance.Coord, sizes []int, need float64) []bool {
	n := 1
	for _, s := range sizes {
		n *= s
	}
	out := make([]bool, n)
	for c := range p.Cells() {
		if c.At(need) == clearance.Free {
			fill(out, 0, 0, coords, sizes, &c)
		}
	}
	return out
}

// fill marks the fields whose middle lies in the cell.
func fill(out []bool, i, at int, coords []clearance.Coord, sizes []int, c *clearance.Cell) {
	if i == len(sizes) {
		out[at] = true
		return
	}
	per := (coords[i].Hi - coords[i].Lo) / float64(sizes[i])
	first, last := 0, 1
	if per > 0 {
		first = max(0, int(math.Ceil((c.Lo[i]-coords[i].Lo)/per-0.5)))
		last = min(sizes[i], int(math.Ceil((c.Hi[i]-coords[i].Lo)/per-0.5)))
	}
	for k := first; k < last; k++ {
		fill(out, i+1, at*sizes[i]+k, coords, sizes, c)
	}
}

func runs(w *strings.Builder, free []bool) {
	var ends []int
	for i := 1; i <= len(free); i++ {
		if i == len(free) || free[i] != free[i-1] {
			ends = append(ends, i)
		}
	}
	fmt.Fprintf(w, "runs %d\n", len(ends))
	last := 0
	for _, e := range ends {
		v := 0
		if free[last] {
			v = 1
		}
		fmt.Fprintln(w, e-last, v)
		last = e
	}
}
