package motion

import (
	"cmp"
	"slices"
)

// muchLess is the share of the nodes of another order with which an order is surely
// the better one: the maps are coarse yet, and finer ones may turn a small lead round.
const muchLess = 0.75

// chooseOrder lays the travels out in the best of a few orders, judged by the
// nodes of the free set as drawn and of what is reached in it; those that go by what
// meets what come first, and give way only to one with far fewer.
func (w *world) chooseOrder() error {
	best, least := []int(nil), 0
	tried := map[string]bool{}
	for _, order := range w.orders() {
		key := ""
		for _, t := range order {
			key += string(rune(t))
		}
		if tried[key] {
			continue
		}
		tried[key] = true
		if err := w.layOut(order); err != nil {
			return err
		}
		f := w.freeSet(0, false, generous)
		r := w.board(f).Reach(w.start)
		n := w.sp.Size(f, r)
		if err := w.ctx.Err(); err != nil {
			return err
		}
		// an order that meets the limit of the space is no error, just no use
		if w.trouble() == nil && (best == nil || float64(n) < muchLess*float64(least)) {
			best, least = order, n
		}
		w.err = nil
	}
	if best == nil {
		best = upwards(len(w.axes))
	}
	return w.layOut(best)
}

// orders lists candidates: the travels that most pairs depend on first, each
// followed by those it meets; the same by parts; and as the design lists them,
// downwards and upwards.
func (w *world) orders() [][]int {
	n := len(w.axes)
	met := make([][]int, n) // how many maps two travels share
	for t := range met {
		met[t] = make([]int, n)
	}
	for _, p := range w.pairs {
		var ts []int
		for i := range p.coords {
			for _, j := range p.coords[i].Terms {
				ts = append(ts, j.Travel)
			}
		}
		for _, a := range ts {
			for _, b := range ts {
				met[a][b]++
			}
		}
	}
	listed := upwards(n)
	busy := slices.Clone(listed)
	slices.SortStableFunc(busy, func(a, b int) int { return cmp.Compare(met[b][b], met[a][a]) })
	reversed := slices.Clone(listed)
	slices.Reverse(reversed)
	return [][]int{busy, chain(busy, met), listed, reversed}
}

// chain starts with the busiest travel and goes on with the one that shares most
// maps with those already placed.
func chain(busy []int, met [][]int) []int {
	var out []int
	left := slices.Clone(busy)
	for len(left) > 0 {
		best, most := 0, -1
		for i, t := range left {
			shared := 0
			for _, u := range out {
				shared += met[t][u]
			}
			if shared > most {
				best, most = i, shared
			}
		}
		out = append(out, left[best])
		left = slices.Delete(left, best, best+1)
	}
	return out
}
