package yield

import (
	"cmp"
	"math"
	"slices"
)

// Cause is a pair of parts whose change alone cures prints.
type Cause struct {
	Pair   int     // index into Input.Contacts; -1 where no single pair cures
	Count  int     // prints that it cures with the least change
	Change float64 // the mean of that change, mm of clearance: positive to open the fit, negative to close it
	Most   float64 // and the greatest
}

// Report counts the fates of prints.
type Report struct {
	Prints  int
	Works   Share
	Binds   Share
	Leaks   Share
	Unknown int
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
	for _, s := range steps {
		r.Steps = append(r.Steps, share(s[0], s[1], n))
	}
	r.BindBy, r.LeakBy = b.causes(prints)
	return r
}

// causes finds for every failing print the pair whose least change cures it.
func (b *Bench) causes(prints []Judged) (bind, leak []Cause) {
	var binds, leaks tally
	for i := range prints {
		p := &prints[i]
		switch p.Fate {
		case Binds:
			binds.add(cure(p.Needs.Likely, b.ask[0].f.Yes, 1))
		case Leaks:
			leaks.add(b.cureLeak(p))
		default:
		}
	}
	return binds.list(), leaks.list()
}

// cureLeak is the pair and the change that close every shortcut of a print: the
// one that is enough for all steps it leaks at.
func (b *Bench) cureLeak(p *Judged) (int, float64) {
	pair, change := -2, 0.0
	for s, a := range p.Steps {
		if a != Yes {
			continue
		}
		k, d := cure(p.Needs.Likely, b.ask[1+s].f.No, -1)
		switch {
		case pair == -2:
			pair, change = k, d
		case k != pair:
			return -1, 0 // two steps want two pairs
		default:
			change = min(change, d)
		}
	}
	return max(pair, -1), change
}

// cure is the single pair whose change brings the needs below one of the lists
// (sign 1) or above one (sign -1), and the change of its clearance, mm; -1 if no
// single pair does.
func cure(needs []float64, lists [][]float64, sign float64) (pair int, change float64) {
	pair, best := -1, math.Inf(1)
	for _, y := range lists {
		only, d := -1, 0.0
		for k := range needs {
			if over := sign * (needs[k] - y[k]); over > 0 {
				if only >= 0 {
					only = -2
					break
				}
				only, d = k, over
			}
		}
		if only >= 0 && d < best {
			pair, best = only, d
		}
	}
	if pair < 0 {
		return -1, 0
	}
	return pair, sign * best
}

type tally map[int]*Cause

func (t *tally) add(pair int, change float64) {
	if *t == nil {
		*t = tally{}
	}
	c := (*t)[pair]
	if c == nil {
		c = &Cause{Pair: pair}
		(*t)[pair] = c
	}
	c.Count++
	c.Change += change
	if math.Abs(change) > math.Abs(c.Most) {
		c.Most = change
	}
}

func (t tally) list() []Cause {
	var out []Cause
	for _, c := range t {
		k := *c
		k.Change /= float64(k.Count)
		out = append(out, k)
	}
	slices.SortFunc(out, func(a, b Cause) int { return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Pair, b.Pair)) })
	return out
}
