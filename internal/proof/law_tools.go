package proof

import (
	"fmt"
	"math"

	"feint/internal/diagram"
)

// seats notes which parts are seats of tools.
func (k *fits) seats() {
	k.seat = map[int][2]int{}
	for i := range k.m.Tools {
		for s := range k.m.Tools[i].Seats {
			k.seat[k.m.Tools[i].Seats[s].Part] = [2]int{i, s}
		}
	}
}

// away tells whether a part is that of a seat whose tool is elsewhere in the situation p.
func (k *fits) away(part int, p []int32) bool {
	s, ok := k.seat[part]
	return ok && p[k.c.Tools[s[0]]] != int32(s[1])
}

// swaps looks whether tools may be taken over where the design lets them.
func (k *fits) swaps() error {
	const looks = 40
	l := k.c.Law
	if len(l.Swaps) != len(k.m.Tools) {
		return fmt.Errorf("%w: %d tools for %d of the design", ErrRefused, len(l.Swaps), len(k.m.Tools))
	}
	for i := range k.m.Tools {
		seats, w := k.m.Tools[i].Seats, &l.Swaps[i]
		need := diagram.LevelsOf(k.c.Tools[i])
		for s := range seats {
			for _, t := range k.m.Parts[seats[s].Part].Travels {
				need |= diagram.LevelsOf(k.level[t])
			}
		}
		if need&^w.Levels != 0 || len(w.Ends) != len(seats) {
			return fmt.Errorf("%w: tool %q moves with less than its seats", ErrRefused, k.m.Tools[i].Name)
		}
		for s := range seats {
			p, ok := l.Space.Pick(w.Ends[s], make([]int32, len(k.c.Travels)))
			for n := 0; ok && n < looks; n++ {
				p[k.c.Tools[i]] = int32(s)
				for _, b := range seats[s].Out {
					tr := &k.m.Travels[b.Travel]
					lo, hi := max(b.Lo, tr.Lo), min(b.Hi, tr.Hi)
					v := lo + (hi-lo)*k.rng.Float64()
					p[k.level[b.Travel]] = k.clip(k.level[b.Travel], math.Floor((v-tr.Lo)/k.width(b.Travel)))
				}
				ok = l.Space.Contains(w.Ends[s], p)
			}
			if !ok {
				return fmt.Errorf("%w: tool %q may be taken out or put in where that is left out", ErrRefused, k.m.Tools[i].Name)
			}
		}
	}
	return nil
}
