package export

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"feint/internal/motion"
)

// The map of situations as a drawing: a column a distance, the goal on the left; above
// a bar for the configurations on a scale of powers of ten, below the places, joined
// where one move leads from one to the other. Units of the drawing.
const (
	mapLeft   = 44.0
	mapRight  = 20.0
	mapTop    = 18.0
	mapBars   = 72.0
	mapGap    = 42.0
	mapPitch  = 19.0
	mapFoot   = 26.0
	mapColumn = 74.0 // at most
	mapSlim   = 22.0 // in a narrow window at least: two figures
)

type situationMap struct {
	counts []float64 // configurations by distance
	hidden []int     // places by distance that are not drawn
	places []motion.Place
	start  int     // the distance of the start, -1 if not known
	row    []int   // of each place in its column
	rows   int     // of the longest column
	column float64 // width
	lo, hi int     // powers of ten at the foot and the top of the bars
}

func newSituationMap(d *motion.Distances) *situationMap {
	m := &situationMap{places: d.Places, start: -1, row: make([]int, len(d.Places)), hidden: make([]int, len(d.By))}
	for i := range d.By {
		m.counts = append(m.counts, d.By[i].Count)
		m.hidden[i] = d.By[i].Places
	}
	for i := range d.Places {
		m.hidden[d.Places[i].Moves]--
		if d.Places[i].Start {
			m.start = d.Places[i].Moves
		}
	}
	m.arrange()
	return m
}

// arrange gives every place a row: those on the way first, each as near as can be to
// the places that it is joined to.
func (m *situationMap) arrange() {
	for k := range m.counts {
		var col []int
		for i := range m.places {
			if m.places[i].Moves == k {
				col = append(col, i)
			}
		}
		pull := func(i int) float64 {
			sum := 0.0
			for _, n := range m.places[i].Nearer {
				sum += float64(m.row[n])
			}
			return sum / max(1, float64(len(m.places[i].Nearer)))
		}
		slices.SortStableFunc(col, func(a, b int) int {
			if x, y := m.places[a].OnWay, m.places[b].OnWay; x != y {
				if x {
					return -1
				}
				return 1
			}
			return cmp.Compare(pull(a), pull(b))
		})
		for r, i := range col {
			m.row[i] = r
		}
		m.rows = max(m.rows, len(col))
	}
}

func (m *situationMap) x(moves int) float64 { return mapLeft + m.column*(float64(moves)+0.5) }

func (m *situationMap) at(i int) (x, y float64) {
	return m.x(m.places[i].Moves), mapTop + mapBars + mapGap + mapPitch*(float64(m.row[i])+0.5)
}

// draw draws it w wide, or in a narrow window as much wider as the numbers of the columns need.
func (m *situationMap) draw(w float64) string {
	n := max(1, float64(len(m.counts)))
	if w < wideW {
		w = min(wideW-1, max(w, mapLeft+mapRight+n*mapSlim))
	}
	m.column = min(mapColumn, (w-mapLeft-mapRight)/n)
	high := mapTop + mapBars + mapGap + mapPitch*float64(m.rows)
	if m.rows > 0 {
		high += mapFoot
	}
	var g svgText
	g.open("scale", "Situations by distance from the goal; the table below says the same", w, high)
	m.bars(&g)
	for i := range m.places {
		m.joins(&g, i, false)
	}
	for i := range m.places {
		m.joins(&g, i, true)
	}
	for i := range m.places {
		m.place(&g, i)
	}
	for k, n := range m.hidden {
		if n > 0 {
			g.text("rule-n", "middle", m.x(k), high-8, fmt.Sprintf("+%d", n))
		}
	}
	return g.close()
}

// bars draws the counts. Every rule is ten times the one below.
func (m *situationMap) bars(g *svgText) {
	m.lo, m.hi = 0, 1
	for _, c := range m.counts {
		if c > 0 {
			m.hi = max(m.hi, int(math.Ceil(math.Log10(c))))
		}
	}
	foot := mapTop + mapBars
	y := func(c float64) float64 { return foot - mapBars*max(0, math.Log10(c)-float64(m.lo))/float64(m.hi-m.lo) }
	for e := m.lo; e <= m.hi; e++ {
		at := foot - mapBars*float64(e-m.lo)/float64(m.hi-m.lo)
		g.line("tick", mapLeft-4, at, mapLeft, at)
		if e == m.lo || e == m.hi || m.hi-m.lo < 4 {
			g.text("rule-n", "end", mapLeft-7, at+4, powerLabel(e))
		}
	}
	w := min(m.column-8, 26)
	for k, c := range m.counts {
		if c > 0 {
			g.rect("z-count", m.x(k)-w/2, y(c), w, foot-y(c))
		}
		g.text("", "middle", m.x(k), foot+15, fmt.Sprint(k))
		switch k {
		case m.start:
			g.text("rule-n", "middle", m.x(k), foot+28, "start")
		case 0:
			g.text("rule-n", "middle", m.x(k), foot+28, "goal")
		}
	}
	g.line("tick", mapLeft, foot, m.x(len(m.counts)-1)+m.column/2, foot)
}

// powerLabel is 10 to the power e in plain figures up to a thousand.
func powerLabel(e int) string {
	if e <= 3 {
		return fmt.Sprintf("%.0f", math.Pow10(e))
	}
	return fmt.Sprintf("1e%d", e)
}

// joins draws the moves from a place to those nearer the goal.
func (m *situationMap) joins(g *svgText, i int, onWay bool) {
	x, y := m.at(i)
	for _, n := range m.places[i].Nearer {
		way := m.places[i].OnWay && m.places[n].OnWay
		if way != onWay {
			continue
		}
		u, v := m.at(n)
		class := "join"
		if way {
			class = "join-way"
		}
		g.line(class, u, v, x, y)
	}
}

// place draws one: round, a square for a dead end, filled on the way, ringed at the
// start; the larger the more configurations.
func (m *situationMap) place(g *svgText, i int) {
	p := &m.places[i]
	x, y := m.at(i)
	r := 2.5 + 5*min(1, max(0, math.Log10(max(p.Count, 1)))/max(1, float64(m.hi)))
	class := "place"
	if p.OnWay {
		class = "place-way"
	}
	if p.Start {
		g.circle("ring", x, y, r+3)
	}
	if p.End && !p.OnWay {
		g.rect("place-end", x-r, y-r, 2*r, 2*r)
		return
	}
	g.circle(class, x, y, r)
}
