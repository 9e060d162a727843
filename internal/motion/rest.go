package motion

import (
	"fmt"
	"math"

	"feint/internal/diagram"
	"feint/internal/units"
)

// rest answers what the verdict does not hang on: how much room the way has, the
// sizes of the spaces, the way back, idle parts, limits that no step names and
// the unrolled maps. The maps are taken as they are.
func (s *solver) rest() error {
	w := s.w
	w.opt.Progress("what else there is to tell", 0, 0)
	s.room()
	w.tidy()
	q := ask(0)
	strictly := w.board(w.freeFor(&q, strict))
	reach := strictly.Reach(w.start)
	s.space(strictly.Free, reach)
	s.reset(strictly, reach)
	if s.r.Drawn.Opens == Yes {
		s.idle()
		s.required()
	}
	s.sheets(reach)
	return w.trouble()
}

// space counts configurations.
func (s *solver) space(free, reach diagram.Set) {
	w := s.w
	weight := make([]float64, len(w.axes))
	total := 1.0
	for t := range w.axes {
		a, per := &w.axes[t], w.opt.CountSlide
		if a.angle {
			per = w.opt.CountTurn
		}
		weight[w.level[t]] = a.unit() / per
		total *= (a.hi - a.lo) / per
	}
	q := ask(0)
	wide := w.freeFor(&q, generous)
	s.r.Space = Space{
		Travels:        len(w.axes),
		Configurations: total,
		Free:           w.sp.Count(free, weight),
		Reachable:      w.sp.Count(reach, weight),
		FreeUpper:      w.sp.Count(wide, weight),
		ReachableUpper: w.sp.Count(w.board(wide).Reach(w.start), weight),
		Resolution:     fmt.Sprintf("%.3g mm and %.3g deg", w.opt.CountSlide, units.Deg(w.opt.CountTurn)),
	}
}

// reset asks for the way back from wherever in the goal the box can be brought.
func (s *solver) reset(b *Board, reach diagram.Set) {
	w := s.w
	if s.r.Drawn.Opens != Yes {
		return
	}
	layers, ok := b.Layers(w.sp.And(reach, w.goal[strict]), w.start)
	if ok {
		s.r.Reset = Reset{Possible: Yes, Moves: len(layers) - 1}
	}
}

// idle lists the parts without which the box opens as drawn.
func (s *solver) idle() {
	for _, p := range s.w.movers {
		q := ask(0)
		q.rest = p
		if s.w.opens(&q, strict) == Yes {
			s.r.Idle = append(s.r.Idle, p)
			s.r.Without = append(s.r.Without, s.w.shortest(&q))
		}
	}
}

// requiredShare is how far beyond start and goal every way must take a travel,
// as a share of its range, to be worth telling; requiredBits how finely it is
// found.
const (
	requiredShare = 0.02
	requiredBits  = 9
)

// required finds how far every way takes each travel beyond what start and goal
// say, and leaves out what a step says.
func (s *solver) required() {
	defer func() { s.r.Sides = s.w.sides }()
	for t := range s.w.axes {
		if s.w.axes[t].cyclic {
			continue // no side of a ring lies beyond
		}
		for _, rising := range [2]bool{true, false} {
			if u, ok := s.extent(t, rising); ok && !s.named(t, s.w.axes[t].value(u), rising) {
				s.r.Required = append(s.r.Required, Required{Travel: t, Value: s.w.axes[t].value(u), Rising: rising})
				s.w.sides = append(s.w.sides, s.kept(t, u, rising))
			}
		}
	}
}

// kept is the certificate that there is no way that keeps the travel from passing a unit.
func (s *solver) kept(t int, u int32, rising bool) Certificate {
	w := s.w
	q := ask(0)
	q.limit = &side{travel: t, unit: u, above: !rising}
	how := "below"
	if !rising {
		how = "above"
	}
	q.what = fmt.Sprintf("can %s of %s stay %s %.6g", w.m.Travels[t].Name, w.m.Parts[w.m.Travels[t].Part].Name, how, w.axes[t].value(u))
	b := w.board(w.freeFor(&q, generous))
	return *w.certify(&q, &Certificate{Free: b.Free, Reached: b.Reach(w.start)})
}

// extent is the unit at which the value begins that travel t must come to on every way,
// and whether it lies beyond start and goal.
func (s *solver) extent(t int, rising bool) (int32, bool) {
	w, a := s.w, &s.w.axes[t]
	base := a.place(w.m.Start[t])
	for _, b := range w.m.Goal.Bounds {
		if b.Travel == t && rising && b.Lo > a.lo {
			base = max(base, a.place(b.Lo))
		}
		if b.Travel == t && !rising && b.Hi < a.hi {
			base = min(base, a.place(b.Hi))
		}
	}
	// the travel is kept from passing unit u; the answer "no" then says it must
	must := func(u int32) bool {
		q := ask(0)
		q.limit = &side{travel: t, unit: u, above: !rising}
		return w.opens(&q, generous) == No
	}
	margin := requiredShare * float64(a.size)
	lo, hi := base+margin, float64(a.size)
	if !rising {
		lo, hi = base-margin, 0
	}
	if (rising && lo >= hi) || (!rising && lo <= hi) || !must(int32(lo)) {
		return 0, false
	}
	for range requiredBits {
		if mid := (lo + hi) / 2; must(int32(mid)) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return int32(lo), true
}

// named tells whether a step says as much of a travel: its region keeps the
// travel near or beyond the value.
func (s *solver) named(t int, v float64, rising bool) bool {
	a := &s.w.axes[t]
	near := requiredShare * (a.hi - a.lo)
	for i := range s.w.m.Steps {
		for _, b := range s.w.m.Steps[i].Bounds {
			if b.Travel == t && (rising && b.Lo >= v-near || !rising && b.Hi <= v+near) {
				return true
			}
		}
	}
	return false
}

// room gives every move the certified least clearance of the cells it passes,
// and finds the tightest place.
func (s *solver) room() {
	if s.r.Way == nil {
		return
	}
	w := s.w
	s.r.Fit.Tightest = Tightest{A: -1, B: -1, Clearance: math.Inf(1)}
	at := append([]float64(nil), w.m.Start...)
	for i := range s.r.Way.Moves {
		m := &s.r.Way.Moves[i]
		m.Clearance, m.Against = math.Inf(1), -1
		for _, k := range m.Strokes {
			s.alongStroke(m, k, at)
			at[k.Travel] = k.To
		}
		if math.IsInf(m.Clearance, 0) {
			m.Clearance = 0
		}
	}
}

// alongStroke looks through the cells that a stroke passes.
func (s *solver) alongStroke(m *Move, k Stroke, at []float64) {
	for _, p := range s.w.pairs {
		seg, ok := p.segment(k, at)
		if !ok {
			continue
		}
		// the way keeps to free cells: a cell that is not is only touched
		need := s.w.need(p, s.r.Way.Growth, false)
		for i := range p.cells {
			c := &p.cells[i]
			if c.Lower < need || c.Lower >= m.Clearance && c.Lower >= s.r.Fit.Tightest.Clearance || !p.crosses(c, &seg) {
				continue
			}
			if c.Lower < m.Clearance {
				m.Clearance, m.Against = c.Lower, other(p, m.Part)
			}
			if c.Lower < s.r.Fit.Tightest.Clearance {
				s.r.Fit.Tightest = Tightest{A: p.a, B: p.b, At: midway(k, at), Clearance: c.Lower}
			}
		}
	}
}

// other is the part of the pair that is not part: of two that the part carries,
// the first.
func other(p *pair, part int) int {
	if p.a == part {
		return p.b
	}
	return p.a
}

// midway is the configuration in the middle of a stroke.
func midway(k Stroke, at []float64) []float64 {
	q := append([]float64(nil), at...)
	q[k.Travel] = (k.From + k.To) / 2
	return q
}

// segment is a stroke in the coordinates of a pair.
func (p *pair) segment(k Stroke, at []float64) (seg [2][]float64, ok bool) {
	for end, v := range [2]float64{k.From, k.To} {
		for _, c := range p.coords {
			e := 0.0
			for _, t := range c.Terms {
				x := at[t.Travel]
				if t.Travel == k.Travel {
					x, ok = v, true
				}
				e += float64(t.Sign) * x
			}
			seg[end] = append(seg[end], e)
		}
	}
	return seg, ok
}

// crosses tells whether a segment, straight along one coordinate, passes the
// inside of a cell; borders belong to the cells on both sides of which at least
// one is passed.
func (p *pair) crosses(c *cellOf, seg *[2][]float64) bool {
	for i := range p.coords {
		lo, hi := min(seg[0][i], seg[1][i]), max(seg[0][i], seg[1][i])
		if !overlaps(c.Lo[i], c.Hi[i], lo, hi, p.coords[i].Cyclic) {
			return false
		}
	}
	return true
}

// overlaps tells whether the cell range has more than a border in common with
// [lo, hi], which may be a point; on a ring turns are taken off.
func overlaps(cl, ch, lo, hi float64, ring bool) bool {
	in := func(d float64) bool {
		if hi > lo {
			return cl+d < hi && ch+d > lo
		}
		return cl+d <= lo && lo <= ch+d
	}
	if !ring {
		return in(0)
	}
	turn := 2 * math.Pi
	first := math.Floor((lo - ch) / turn)
	for n := first; cl+n*turn <= hi; n++ {
		if in(n * turn) {
			return true
		}
	}
	return false
}
