package pipeline

import (
	"math"

	"feint/internal/mechanism"
)

// sighting is what a rule says of a design with a param changed.
type sighting struct {
	gone   bool
	harm   bool    // something else is worse
	known  bool    // the finding stays, and its margin is measured as before
	margin float64 // negative beyond the limit
}

// seekTries bounds how often one param is tried for one finding: four steps towards
// the limit and eight halvings, which part a change of 2.5 mm to a hundredth.
const seekTries = 12

// closeShare is to what share of the whole change the smallest one is found.
const closeShare = 0.01

// seeker looks for the smallest change of a param by which a finding goes.
type seeker struct {
	p    *mechanism.Param
	was  sighting                         // as the design is
	look func(v float64) (sighting, bool) // false: there is no such design, or no more can be tried

	flat  bool // no slope was seen, and the ends are still to be tried
	left  int
	all   bool // it was looked at as far as the param goes
	stays float64
	goes  float64
}

// seek tries values of the param: a small step tells the slope of the margin, whose steps
// are followed to where the finding goes, and the place is closed in on. Where there is no
// slope it is flat: see ends. It is false if no value cures.
func (s *seeker) seek() bool {
	s.left = seekTries
	v := s.p.Value
	near := s.within(s.grid(v+s.step(), 1))
	if near == v {
		near = s.within(s.grid(v-s.step(), -1))
	}
	if near == v {
		return false
	}
	a, ok := s.try(near)
	switch {
	case ok && a.gone:
		return s.close(v, near)
	case ok && a.known && s.was.known && math.Abs(a.margin-s.was.margin) > 1e-9*(1+math.Abs(s.was.margin)):
		return s.follow(near, a.margin)
	}
	s.flat = ok
	return false
}

// follow goes where the slope of the margin leads.
func (s *seeker) follow(at, margin float64) bool {
	from, before := s.p.Value, s.was.margin
	sign := 1.0
	if (margin-before)/(at-from) < 0 {
		sign = -1
	}
	if (at-from)*sign < 0 { // the step went the wrong way
		at, margin, from, before = from, before, at, margin
	}
	for {
		next := math.Inf(int(sign))
		if slope := (margin - before) / (at - from); slope*sign > 0 && margin < 0 {
			next = at - margin/slope
		} else if margin >= 0 && at != from { // the rule wants more than 0: it is not told how much
			next = at + 2*(at-from)
		}
		if next = s.within(s.grid(next, sign)); next == at || math.IsInf(next, 0) {
			s.all = next == at // the end of the range
			return false
		}
		a, ok := s.try(next)
		switch {
		case !ok:
			return false
		case a.gone:
			return s.close(at, next)
		case a.known:
			from, before, at, margin = at, margin, next, a.margin
		default: // the slope is lost: the end is next
			from, before, at = at, margin, next
		}
	}
}

// ends tries both ends of the range and closes in on the nearer at which it goes.
func (s *seeker) ends() bool {
	best, found := 0.0, false
	s.all = true
	for _, e := range [2]float64{s.p.Min, s.p.Max} {
		if e == s.p.Value {
			continue
		}
		if math.IsInf(e, 0) {
			s.all = false
			continue
		}
		a, ok := s.try(e)
		if s.all = s.all && ok; !ok || !a.gone {
			continue
		}
		if !found || math.Abs(e-s.p.Value) < math.Abs(best-s.p.Value) {
			best, found = e, true
		}
	}
	return found && s.close(s.p.Value, best)
}

// close halves the stretch between a value at which it stays and one at which it goes.
// The first look is right beside the latter, where following a slope mostly ends.
func (s *seeker) close(stays, goes float64) bool {
	res := s.res()
	sign := math.Copysign(1, goes-stays)
	next := s.grid(goes-sign*max(res, closeShare*math.Abs(goes-s.p.Value)), sign)
	for (goes-stays)*sign > max(1.5*res, closeShare*math.Abs(goes-s.p.Value)) {
		a, ok := s.try(next)
		if !ok {
			break
		}
		if a.gone {
			goes = next
		} else {
			stays = next
		}
		next = s.grid((goes+stays)/2, sign)
		if next == goes {
			next = s.grid(goes-sign*res, sign)
		}
	}
	s.stays, s.goes = stays, goes
	a, ok := s.look(goes) // which is known
	return ok && !a.harm
}

func (s *seeker) try(v float64) (sighting, bool) {
	if s.left <= 0 {
		return sighting{}, false
	}
	s.left--
	return s.look(v)
}

// whole tells whether the param counts.
func (s *seeker) whole() bool {
	p := s.p
	is := func(v float64) bool { return math.IsInf(v, 0) || v == math.Round(v) }
	return p.Unit != "mm" && p.Unit != "deg" && is(p.Value) && is(p.Min) && is(p.Max)
}

// step is a small change: 0.05 mm for lengths below a millimetre, else a twentieth.
func (s *seeker) step() float64 {
	if all := steps(s.p); len(all) > 0 {
		return math.Abs(all[0] - s.p.Value)
	}
	if s.whole() {
		return 1
	}
	return 10 * s.res()
}

// res is how finely a param is told: what a maker writes.
func (s *seeker) res() float64 {
	p := s.p
	switch {
	case p.Unit == "mm":
		return 0.01
	case p.Unit == "deg":
		return 0.1
	case s.whole():
		return 1
	case !math.IsInf(p.Max-p.Min, 0):
		return math.Pow(10, math.Floor(math.Log10((p.Max-p.Min)/100)))
	}
	return math.Pow(10, math.Floor(math.Log10(max(1e-6, math.Abs(p.Value))/100)))
}

// grid rounds a value to what a maker writes, away from the value as it is.
func (s *seeker) grid(v, sign float64) float64 {
	if math.IsInf(v, 0) {
		return v
	}
	res := s.res()
	if sign > 0 {
		v = math.Ceil(v/res-1e-6) * res
	} else {
		v = math.Floor(v/res+1e-6) * res
	}
	return math.Round(v*1e9) / 1e9
}

func (s *seeker) within(v float64) float64 { return max(s.p.Min, min(s.p.Max, v)) }
