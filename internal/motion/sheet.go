package motion

import (
	"math"
	"slices"

	"feint/internal/clearance"
	"feint/internal/diagram"
)

// cellOf is a cell of a map.
type cellOf = clearance.Cell

// The grid on which an unrolled map is drawn, along and round; a coordinate that
// is the sum of travels gets the coarse one, since telling what is reached costs
// more there.
const (
	sheetAlong, sheetRound   = 160, 240
	coarseAlong, coarseRound = 48, 72
)

// sheets draws the map of every pair that has one coordinate along and one round.
func (s *solver) sheets(reach diagram.Set) {
	for _, p := range s.w.pairs {
		if len(p.coords) != 2 || p.coords[0].Angle == p.coords[1].Angle {
			continue
		}
		along := 0
		if p.coords[0].Angle {
			along = 1
		}
		sh := Sheet{A: p.a, B: p.b, Coords: [2]clearance.Coord{p.coords[along], p.coords[1-along]}, Growth: s.loosest()}
		sh.Cells = s.rectangles(p, along, [2]float64{s.w.need(p, 0, false), s.w.need(p, sh.Growth, false)}, reach)
		if !varied(sh.Cells) {
			continue // nothing to see: the pair is free everywhere, or nowhere
		}
		if s.r.Way != nil {
			sh.Way = p.polyline(s.r.Way, s.w.m.Start, along)
			s.onWay(&sh)
		}
		s.shortcuts(&sh, p, along)
		s.r.Sheets = append(s.r.Sheets, sh)
	}
}

// loosest is the least growth that was asked of a way found or wanted.
func (s *solver) loosest() float64 {
	g := s.r.Asked[0]
	for i := range s.r.Steps {
		if w := s.r.Steps[i].Shortcut; w != nil {
			g = min(g, w.Growth)
		}
	}
	return g
}

// shortcuts draws the ways that leave out a step, where they run otherwise than the
// way taken.
func (s *solver) shortcuts(sh *Sheet, p *pair, along int) {
	for i := range s.r.Steps {
		w := s.r.Steps[i].Shortcut
		if w == nil {
			continue
		}
		line := p.polyline(w, s.w.m.Start, along)
		if !slices.Equal(line, sh.Way) && len(line) > 1 {
			sh.Shortcuts = append(sh.Shortcuts, SheetShortcut{Step: s.r.Steps[i].Index, Growth: w.Growth, Way: line})
		}
	}
}

func varied(cs []SheetCell) bool {
	for i := range cs {
		if cs[i].State != cs[0].State {
			return true
		}
	}
	return false
}

// field is what the map says at one place of the grid.
type field struct {
	state clearance.State
	loose bool
}

// fields samples the map for both needs, as drawn and loose.
func (p *pair) fields(along int, needs [2]float64, na, nr int) []field {
	drawn, loose := p.sample(along, needs[0], na, nr), p.sample(along, needs[1], na, nr)
	out := make([]field, len(drawn))
	for i := range out {
		out[i] = field{drawn[i], drawn[i] != clearance.Free && loose[i] == clearance.Free}
	}
	return out
}

// rectangles samples the map at the middles of a grid and joins equal fields:
// first along each row, then equal rows.
func (s *solver) rectangles(p *pair, along int, needs [2]float64, reach diagram.Set) []SheetCell {
	na, nr := sheetAlong, sheetRound
	_, _, direct := p.direct(s.w)
	if !direct {
		na, nr = coarseAlong, coarseRound
	}
	grid := p.fields(along, needs, na, nr)
	c := [2]*clearance.Coord{&p.coords[along], &p.coords[1-along]}
	value := func(k, i, n int) float64 { return c[k].Lo + (c[k].Hi-c[k].Lo)*float64(i)/float64(n) }
	type run struct {
		from, to int
		field
	}
	open := map[run]int{}
	var out []SheetCell
	for i := range na {
		next := map[run]int{}
		for j := 0; j < nr; {
			k := j + 1
			for k < nr && grid[i*nr+k] == grid[i*nr+j] {
				k++
			}
			r := run{j, k, grid[i*nr+j]}
			if at, ok := open[r]; ok {
				out[at].Hi[0] = value(0, i+1, na)
				next[r] = at
			} else {
				next[r] = len(out)
				out = append(out, SheetCell{
					Lo: [2]float64{value(0, i, na), value(1, j, nr)}, Hi: [2]float64{value(0, i+1, na), value(1, k, nr)}, State: r.state, Loose: r.loose,
				})
			}
			j = k
		}
		open = next
	}
	for i := range out {
		out[i].Reachable = out[i].State == clearance.Free && s.w.sp.Meets(reach, p.within(s.w, along, &out[i]))
	}
	return out
}

// sample is the state of the map at the middles of na x nr fields, by rows along.
func (p *pair) sample(along int, need float64, na, nr int) []clearance.State {
	grid := make([]clearance.State, na*nr)
	span := func(c *clearance.Coord, lo, hi float64, n int) (int, int) {
		at := func(v float64) float64 { return (v - c.Lo) / (c.Hi - c.Lo) * float64(n) }
		return max(0, int(math.Ceil(at(lo)-0.5))), min(n, int(math.Ceil(at(hi)-0.5)))
	}
	for k := range p.cells {
		c := &p.cells[k]
		i0, i1 := span(&p.coords[along], c.Lo[along], c.Hi[along], na)
		j0, j1 := span(&p.coords[1-along], c.Lo[1-along], c.Hi[1-along], nr)
		state := c.At(need)
		for i := i0; i < i1; i++ {
			for j := j0; j < j1; j++ {
				grid[i*nr+j] = state
			}
		}
	}
	return grid
}

// within is the configurations whose coordinates may lie in a field.
func (p *pair) within(w *world, along int, c *SheetCell) diagram.Set {
	ends := make([]int32, 4)
	for i := range p.coords {
		k := 0
		if i != along {
			k = 1
		}
		r := p.axes[i].inner(c.Lo[k], c.Hi[k])
		ends[2*i], ends[2*i+1] = max(0, r.Lo), min(p.axes[i].size, max(r.Hi, r.Lo+1))
	}
	return p.cover(w, ends)
}

// polyline is a way in the coordinates of the pair, corner by corner; it leaves
// the range of a ring rather than jump.
func (p *pair) polyline(way *Way, start []float64, along int) [][2]float64 {
	at := append([]float64(nil), start...)
	point := func() [2]float64 {
		var e [2]float64
		for i, c := range p.coords {
			k := 0
			if i != along {
				k = 1
			}
			for _, t := range c.Terms {
				e[k] += float64(t.Sign) * at[t.Travel]
			}
		}
		return e
	}
	out := [][2]float64{point()}
	for i := range way.Moves {
		for _, k := range way.Moves[i].Strokes {
			at[k.Travel] = k.To
			if q := point(); q != out[len(out)-1] {
				out = append(out, q)
			}
		}
	}
	return out
}

// onWay marks the fields that the way passes.
func (s *solver) onWay(sh *Sheet) {
	for k := 1; k < len(sh.Way); k++ {
		a, b := sh.Way[k-1], sh.Way[k]
		for i := range sh.Cells {
			c := &sh.Cells[i]
			if c.State == clearance.Blocked || c.OnWay {
				continue
			}
			c.OnWay = true
			for d := range 2 {
				lo, hi := min(a[d], b[d]), max(a[d], b[d])
				c.OnWay = c.OnWay && overlaps(c.Lo[d], c.Hi[d], lo, hi, sh.Coords[d].Cyclic)
			}
		}
	}
}
