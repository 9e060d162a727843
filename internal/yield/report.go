package yield

import (
	"cmp"
	"math"
	"slices"
)

// Cause is a pair of parts whose change cures prints.
type Cause struct {
	Pair   int     // index into Input.Contacts; -1 where nothing that cures is known
	Alone  bool    // its change alone cures; else others must change too, each by less
	Count  int     // prints to which this is the least change
	Change float64 // the mean of the pair's change, mm of clearance: positive to open the fit, negative to close it
	Most   float64 // and the greatest
}

// Report counts the fates of prints.
type Report struct {
	Prints  int
	Works   Share
	Binds   Share
	Leaks   Share
	Unknown int
	Loose   int     // of Unknown: those in which parts that meet need less than Input.Deepest
	Play    Share   // of the prints that work: those that leak when the parts are pushed about
	Steps   []Share // by step: prints in which it can be avoided
	// Surely are the shares whichever face of each pair decides: the part of the
	// answer that does not rest on the likely face.
	SurelyWorks, SurelyBinds, SurelyLeaks Share
	BindBy, LeakBy                        []Cause // most prints first
}

// Report counts prints.
func (b *Bench) Report(prints []Judged) Report {
	r := Report{Prints: len(prints)}
	var fates, surely [4]int
	steps := make([][2]int, b.in.Steps)
	var play [2]int
	for i := range prints {
		p := &prints[i]
		fates[p.Fate]++
		surely[p.Surely]++
		if p.Fate == Unknown && b.loose(p.Needs.Likely) {
			r.Loose++
		}
		for s, a := range p.Steps {
			switch a {
			case Yes:
				steps[s][0]++
			case Undecided:
				steps[s][1]++
			case No:
			}
		}
		if p.Fate == Works {
			switch p.Play {
			case Yes:
				play[0]++
			case Undecided:
				play[1]++
			case No:
			}
		}
	}
	share := func(k, more, n int) Share { return NewShare(k, more, n, b.in.Level) }
	n, open := len(prints), fates[Unknown]
	r.Unknown = open
	r.Works, r.Binds, r.Leaks = share(fates[Works], open, n), share(fates[Binds], open, n), share(fates[Leaks], open, n)
	r.Play = share(play[0], play[1], fates[Works])
	r.SurelyWorks, r.SurelyBinds, r.SurelyLeaks = share(surely[Works], 0, n), share(surely[Binds], 0, n), share(surely[Leaks], 0, n)
	if b.led != nil { // of works and leaks nothing is told for all faces at once
		r.Loose, open = 0, n-surely[Binds]
		r.SurelyWorks, r.SurelyLeaks = share(0, open, n), share(0, open, n)
	}
	for _, s := range steps {
		r.Steps = append(r.Steps, share(s[0], s[1], n))
	}
	r.BindBy, r.LeakBy = b.causes(prints)
	return r
}

// loose tells whether parts that meet need less than what the oracles look at.
func (b *Bench) loose(needs []float64) bool {
	for k := range needs {
		if b.in.Contacts[k].Met && needs[k] < b.in.Deepest {
			return true
		}
	}
	return false
}

// causes finds for every failing print the pair whose least change cures it.
func (b *Bench) causes(prints []Judged) (bind, leak []Cause) {
	var binds, leaks tally
	for i := range prints {
		p := &prints[i]
		k := p.cure
		switch p.Fate {
		case Binds:
			if b.led == nil {
				k = cure(p.Needs.Likely, b.ask[0].f.Yes, 1)
			}
			binds.add(k)
		case Leaks:
			if b.led == nil {
				k = b.cureLeak(p)
			}
			leaks.add(k)
		default:
		}
	}
	return binds.list(), leaks.list()
}

// remedy is a change that cures a print.
type remedy struct {
	pair   int
	alone  bool
	change float64
}

// cureLeak is the remedy that closes every shortcut of a print: the one that is
// enough for all steps it leaks at.
func (b *Bench) cureLeak(p *Judged) remedy {
	out, first := remedy{pair: -1}, true
	for s, a := range p.Steps {
		if a != Yes {
			continue
		}
		out, first = both(out, cure(p.Needs.Likely, b.ask[1+s].f.No, -1), first), false
	}
	return out
}

// both is the remedy of two faults, the first of which is left out if there is none yet.
func both(out, r remedy, first bool) remedy {
	switch {
	case first:
		return r
	case r.pair != out.pair:
		out.alone = false // two steps want two pairs
		if math.Abs(r.change) > math.Abs(out.change) {
			out.pair, out.change = r.pair, r.change
		}
	default:
		out.alone = out.alone && r.alone
		if math.Abs(r.change) > math.Abs(out.change) {
			out.change = r.change
		}
	}
	return out
}

// cure is the least change, the sum over the pairs, that brings the needs below
// one of the lists (sign 1) or above one (sign -1), a change of a single pair
// before one of several; of several the greatest is told.
func cure(needs []float64, lists [][]float64, sign float64) remedy {
	r, _ := cureTo(needs, lists, sign)
	return r
}

// cureTo also tells the list.
func cureTo(needs []float64, lists [][]float64, sign float64) (best remedy, to []float64) {
	best, least := remedy{pair: -1}, math.Inf(1)
	for _, y := range lists {
		r, total, n := remedy{pair: -1}, 0.0, 0
		for k := range needs {
			if over := sign * (needs[k] - y[k]); over > 0 {
				total += over
				n++
				if over > r.change {
					r.pair, r.change = k, over
				}
			}
		}
		r.alone = n == 1
		if r.pair >= 0 && (r.alone && !best.alone || r.alone == best.alone && total < least) {
			best, least, to = r, total, y
		}
	}
	best.change *= sign
	return best, to
}

type tally map[remedy]*Cause

func (t *tally) add(r remedy) {
	if *t == nil {
		*t = tally{}
	}
	k := remedy{pair: r.pair, alone: r.alone, change: math.Copysign(1, r.change)}
	c := (*t)[k]
	if c == nil {
		c = &Cause{Pair: r.pair, Alone: r.alone}
		(*t)[k] = c
	}
	c.Count++
	c.Change += r.change
	if math.Abs(r.change) > math.Abs(c.Most) {
		c.Most = r.change
	}
}

func (t tally) list() []Cause {
	var out []Cause
	for _, c := range t {
		k := *c
		k.Change /= float64(k.Count)
		out = append(out, k)
	}
	slices.SortFunc(out, func(a, b Cause) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Pair, b.Pair), cmp.Compare(whole(b.Alone), whole(a.Alone)), cmp.Compare(b.Change, a.Change))
	})
	return out
}

func whole(b bool) int {
	if b {
		return 1
	}
	return 0
}
