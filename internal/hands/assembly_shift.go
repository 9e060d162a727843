package hands

import (
	"math"
	"slices"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// situation is a configuration to which parts left were moved.
type situation struct {
	q      []float64
	from   int   // the situation before; -1: none
	by     Shift // the shift that led here, forwards
	onWay  int   // its place on the way; -1: elsewhere
	sure   bool  // the shift is known to be free
	depth  int
	closed bool // the shift was found not to be free
}

// shifted finds a part that comes straight out once other parts left have been moved along
// their own travels: along the way as far as the parts stand on it, and to limits, to where
// the way stops and to where something is in the way, nearest situations first. The parts
// are left there.
func (h *hunt) shifted(left []int) (*Entry, error) {
	from := h.cost
	all := []situation{{q: h.a.q, from: -1, onWay: h.on, sure: true}}
	h.alongWay(&all)
	seen, not := map[string]bool{}, map[string]bool{}
	for i := range all {
		seen[h.qKey(all[i].q, left)] = true
	}
	for i := 0; i < len(all) && len(all) < huntPlaces*4 && i < huntPlaces; i++ {
		h.tried.Places++
		for !all[i].closed && !h.spent(from, huntShift) {
			e, key := h.seemingly(left, all[i].q, not)
			if e == nil {
				break
			}
			ok, err := h.proveShift(e, all, i, left)
			if err != nil {
				return nil, err
			}
			if ok {
				return e, nil
			}
			not[key] = true
		}
		if h.spent(from, huntShift) {
			break
		}
		if !all[i].closed {
			h.neighbours(&all, i, left, seen)
		}
	}
	return nil, h.a.ctx.Err()
}

// alongWay adds the situations of the way, back and forth from where the parts stand on it.
func (h *hunt) alongWay(all *[]situation) {
	if h.on < 0 {
		return
	}
	for _, dir := range [2]int{1, -1} {
		last := 0
		for i := h.on + dir; i >= 0 && i < len(h.way); i += dir {
			*all = append(*all, situation{q: h.way[i], from: last, onWay: i, sure: true, depth: 1})
			last = len(*all) - 1
		}
	}
}

func (h *hunt) qKey(q []float64, left []int) string {
	var b []byte
	for _, p := range left {
		for _, t := range h.a.m.Parts[p].Travels {
			v := int32(math.Round(q[t] * 100))
			b = append(b, byte(v), byte(v>>8), byte(v>>16), byte(v>>24))
		}
	}
	return string(b)
}

// mostShifts is how many shifts away from the way, or from where the parts stand, are tried.
const mostShifts = 5

// neighbours adds the situations to which one part left goes along one travel.
func (h *hunt) neighbours(all *[]situation, i int, left []int, seen map[string]bool) {
	s := (*all)[i]
	if s.depth > mostShifts {
		return
	}
	for _, p := range left {
		parts := append([]int{p}, h.a.riders(p, left)...)
		others := h.around(parts, left)
		for _, t := range h.a.m.Parts[p].Travels {
			for _, v := range h.reach(parts, others, t, s.q) {
				q := slices.Clone(s.q)
				q[t] = v
				if key := h.qKey(q, left); !seen[key] {
					seen[key] = true
					*all = append(*all, situation{q: q, from: i, by: Shift{Travel: t, From: s.q[t], To: v}, onWay: -1, depth: s.depth + 1})
				}
			}
		}
	}
}

// reach lists values of a travel, of the part that leads the group, to which it seems to
// go: where the way and its limits have it, and the farthest.
func (h *hunt) reach(parts, others []int, t int, q []float64) []float64 {
	tr := h.a.m.Travels[t]
	k := h.gather(parts, others, q)
	tr.Axis = h.a.axisAt(parts[0], t, q)
	step := h.step()
	if turning(&tr) {
		step /= max(1, h.arm(k, tr.Axis))
	}
	lo, hi := tr.Lo, tr.Hi
	if tr.Full {
		lo, hi = q[t]-math.Pi, q[t]+math.Pi
	}
	lo, hi = max(lo, q[t]-h.a.size), min(hi, q[t]+max(h.a.size, 2*math.Pi))
	var out []float64
	for _, sign := range [2]float64{-1, 1} {
		end, last := hi, q[t]
		if sign < 0 {
			end = lo
		}
		var stops []float64
		for _, v := range h.values(t) {
			if (v-q[t])*sign > 1e-6 && (end-v)*sign > -1e-9 {
				stops = append(stops, v)
			}
		}
		stops = append(stops, end)
		slices.SortFunc(stops, func(a, b float64) int {
			if (a-b)*sign < 0 {
				return -1
			}
			return 1
		})
		blocked := false
		for _, stop := range stops {
			for n := 1; !blocked && (stop-last)*sign > 1e-9; n++ {
				v := last + sign*min(step, (stop-last)*sign)
				if blocked = k.hits(tr.Motion(v - q[t])); !blocked {
					last = v
				}
			}
			if blocked {
				break
			}
			out = append(out, stop)
		}
		if blocked && (last-q[t])*sign > step {
			out = append(out, last)
		}
	}
	return out
}

// parted is into how many pieces a travel with limits is divided for where it is tried.
const parted = 8

// values are where a travel is tried: at home, in eighths of it or quarters of a full turn,
// and where the way stops.
func (h *hunt) values(t int) []float64 {
	tr := &h.a.m.Travels[t]
	out := []float64{h.a.home[t]}
	if tr.Full {
		for i := 1; i < quarters; i++ {
			out = append(out, h.a.home[t]+(tr.Hi-tr.Lo)*float64(i)/quarters)
		}
	}
	if !tr.Full && !math.IsInf(tr.Hi-tr.Lo, 0) {
		for i := 1; i < parted; i++ {
			out = append(out, tr.Lo+(tr.Hi-tr.Lo)*float64(i)/parted)
		}
	}
	for _, q := range h.way {
		if v := q[t]; !slices.ContainsFunc(out, func(o float64) bool { return math.Abs(o-v) < 1e-6 }) {
			out = append(out, v)
		}
	}
	return out
}

// arm is how far from an axis points of the group lie.
func (h *hunt) arm(k *group, axis geom.Line) float64 {
	far := 0.0
	for i, p := range k.parts {
		b := posedBox(h.depths[p].box, k.poses[i])
		for _, v := range [2]geom.Vec{b.Lo, b.Hi} {
			far = max(far, r3.Norm(r3.Sub(v, axis.Point)))
		}
	}
	return far
}

// proveShift measures the shifts that lead to a situation and the way out there. If they
// are free the parts are left there, and the entry tells how to undo it.
func (h *hunt) proveShift(e *Entry, all []situation, at int, left []int) (bool, error) {
	h.tries++
	back := h.a.q
	var chain []int
	for i := at; all[i].from >= 0; i = all[i].from {
		chain = append(chain, i)
	}
	slices.Reverse(chain)
	ok, err := h.measured(e, all, chain, at, left)
	if err != nil || !ok {
		if again := h.a.stand(back); again != nil {
			return false, again
		}
		return false, err
	}
	h.on = all[at].onWay
	for _, i := range slices.Backward(chain) {
		e.After = append(e.After, h.undone(&all[all[i].from], &all[i])...)
	}
	return true, nil
}

// undone is the shifts that lead from a situation to the one before.
func (h *hunt) undone(before, s *situation) []Shift {
	if s.onWay < 0 || before.onWay < 0 {
		return []Shift{{Travel: s.by.Travel, From: s.by.To, To: s.by.From}}
	}
	move := 0
	if s.onWay > before.onWay {
		move = s.onWay
	}
	var out []Shift
	for t := range s.q {
		if math.Abs(s.q[t]-before.q[t]) > 1e-9 {
			out = append(out, Shift{Travel: t, From: s.q[t], To: before.q[t], Back: move})
		}
	}
	return out
}

// measured tells whether shifts and way out are free, as exactly as ways are measured.
func (h *hunt) measured(e *Entry, all []situation, chain []int, at int, left []int) (bool, error) {
	a := h.a
	for _, i := range chain {
		s := &all[i]
		if s.closed {
			all[at].closed = true
			return false, nil
		}
		if s.sure {
			continue
		}
		if err := a.stand(all[s.from].q); err != nil {
			return false, err
		}
		p := a.m.Travels[s.by.Travel].Part
		tr, _, _ := a.run(p, s.by.Travel, s.by.To)
		parts := append([]int{p}, a.riders(p, left)...)
		for _, o := range h.around(parts, left) {
			for _, r := range parts {
				ok, err := a.keepsOff(r, o, tr)
				if err != nil {
					return false, err
				}
				if !ok {
					s.closed, all[at].closed = true, true
					return false, nil
				}
			}
		}
		s.sure = true
	}
	if err := a.stand(all[at].q); err != nil {
		return false, err
	}
	shut, err := a.blocked(append([]int{e.Part}, e.With...), r3.Scale(-1, e.Way), left)
	return !shut, err
}
