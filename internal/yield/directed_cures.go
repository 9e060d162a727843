package yield

import (
	"math"
	"slices"
)

// mostTries bounds the ways led in search of cures; what is left then has no cure known.
const mostTries = 1500

// cures finds for every failing print a change of needs that cures it, found by trying: at
// the changed needs a way was led, or the question is surely "no". That no smaller change
// does is not said, since the law is not monotone.
func (l *ledger) cures(ps []Judged) error {
	var first []int // pairs that cured others, which are tried first
	for i := range ps {
		p := &ps[i]
		var err error
		switch p.Fate {
		case Binds:
			p.cure, err = l.opened(p.Needs.Likely, first)
		case Leaks:
			p.cure = l.closed(p)
		default:
			continue
		}
		if err != nil {
			return err
		}
		if k := p.cure.pair; k >= 0 && !slices.Contains(first, k) {
			first = append(first, k)
		}
	}
	return nil
}

// opens tells whether a way known leads at needs that were changed.
func (l *ledger) opens(needs []float64) (bool, error) {
	if l.tries >= mostTries {
		return false, nil
	}
	l.tries += l.d.Ways(0)
	a, err := l.leads(0, needs)
	return a == Yes, err
}

// opened is a change that opens a print that binds. What hands that reach everything need
// is tried first, with a little to spare: less cannot do. Else needs are brought, pair by pair, to those of a print
// that works.
func (l *ledger) opened(needs []float64, first []int) (remedy, error) {
	r, to := cureTo(needs, l.b.ask[0].f.Yes, 1)
	for _, more := range [2]float64{l.exact(), 4 * l.exact()} {
		if r.pair < 0 {
			break
		}
		if ok, err := l.opens(lowered(needs, to, more)); ok || err != nil {
			r.change += more
			return r, err
		}
	}
	if l.works == nil {
		return remedy{pair: -1}, nil
	}
	tried := map[int]bool{}
	order := slices.Clone(first)
	for k := range needs {
		if l.b.in.Contacts[k].Met {
			order = append(order, k)
		}
	}
	for _, k := range order {
		if tried[k] || needs[k] == l.works[k] {
			continue
		}
		tried[k] = true
		at := slices.Clone(needs)
		at[k] = l.works[k]
		ok, err := l.opens(at)
		if err != nil {
			return remedy{pair: -1}, err
		}
		if ok {
			return l.least(needs, at, k)
		}
	}
	return l.several(needs)
}

// least halves the change of one pair as long as that cures.
func (l *ledger) least(needs, cured []float64, k int) (remedy, error) {
	bad, good, at := needs[k], cured[k], slices.Clone(cured)
	for math.Abs(bad-good) > 2*l.b.in.Step {
		mid := (bad + good) / 2
		at[k] = mid
		ok, err := l.opens(at)
		if err != nil {
			return remedy{pair: -1}, err
		}
		if ok {
			good = mid
		} else {
			bad = mid
		}
	}
	return remedy{pair: k, alone: true, change: needs[k] - good}, nil
}

// several is the greatest of the changes towards a print that works, those left out without
// which it opens as well.
func (l *ledger) several(needs []float64) (remedy, error) {
	at, out := slices.Clone(l.works), remedy{pair: -1}
	if l.tries >= mostTries {
		return out, nil
	}
	for k := range needs {
		if at[k] == needs[k] {
			continue
		}
		at[k] = needs[k]
		ok, err := l.opens(at)
		if err != nil {
			return remedy{pair: -1}, err
		}
		if ok {
			continue
		}
		at[k] = l.works[k]
		if c := needs[k] - at[k]; math.Abs(c) > math.Abs(out.change) {
			out.pair, out.change = k, c
		}
	}
	return out, nil
}

// closed is a change that closes all shortcuts of a print that leaks: to where even hands
// that reach everything have none, or into a box of needs at which there is none.
func (l *ledger) closed(p *Judged) remedy {
	out, first := remedy{pair: -1}, true
	for s, a := range p.Steps {
		if a != Yes {
			continue
		}
		r := cure(p.Needs.Likely, l.b.ask[1+s].f.No, -1)
		for i := range l.never[1+s] {
			if k := into(p.Needs.Likely, &l.never[1+s][i]); better(k, r) {
				r = k
			}
		}
		out, first = both(out, r, first), false
	}
	return out
}

// better tells whether one remedy is to be told before another.
func better(a, b remedy) bool {
	switch {
	case a.pair < 0 || b.pair < 0:
		return b.pair < 0 && a.pair >= 0
	case a.alone != b.alone:
		return a.alone
	}
	return math.Abs(a.change) < math.Abs(b.change)
}

// into is the change of needs into a box.
func into(needs []float64, r *room) remedy {
	out, n := remedy{pair: -1}, 0
	for k, v := range needs {
		c := max(0, v-r.hi[k]) - max(0, r.lo[k]-v)
		if c == 0 {
			continue
		}
		n++
		if math.Abs(c) > math.Abs(out.change) {
			out.pair, out.change = k, c
		}
	}
	out.alone = n == 1
	return out
}

// lowered are needs nowhere above a list, those that were by so much more.
func lowered(needs, to []float64, more float64) []float64 {
	out := slices.Clone(needs)
	for i := range out {
		if out[i] > to[i] {
			out[i] = to[i] - more
		}
	}
	return out
}
