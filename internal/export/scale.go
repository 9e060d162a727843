package export

import "math"

// zone is what the box does at one growth.
type zone uint8

const (
	unknownZone zone = iota
	worksZone
	shortcutZone
	stuckZone
)

func (z zone) String() string {
	return [...]string{"not known", "works as meant", "has a shortcut", "is stuck"}[z]
}

// scale is the fit window as a line of growth, mm a surface.
type scale struct {
	lo, hi float64 // what is shown
	fit    *FitInfo
	asked  GrowthRange
	opens  float64 // the greatest growth that is known to open, -Inf if none
	sound  float64 // the least growth down to which no step is known to leak, +Inf if none
}

// mostBelow is how far below the asked range what holds is shown, mm.
const mostBelow = 0.05

// newScale chooses what is shown: the asked range, the drawn size and both
// limits, with some room beside them.
func newScale(d *Document) *scale {
	s := &scale{fit: &d.Fit, asked: d.Growth, opens: math.Inf(-1), sound: math.Inf(1)}
	s.lo, s.hi = min(0, d.Growth.Lo), max(0, d.Growth.Hi)
	for _, l := range []*LimitInfo{d.Fit.LeakLimit, d.Fit.BindLimit, d.Fit.PlayLimit} {
		if l == nil {
			continue
		}
		for _, v := range []*float64{l.Lo, l.Hi} {
			if v != nil {
				s.lo, s.hi = min(s.lo, *v), max(s.hi, *v)
			}
		}
	}
	pad := max(0.15*(s.hi-s.lo), 0.01)
	s.lo, s.hi = s.lo-pad, s.hi+pad
	for _, o := range d.Openings {
		if o.Opens == "yes" {
			s.opens = max(s.opens, o.Growth)
		}
	}
	switch {
	case d.Fit.Holds != nil:
		s.sound = *d.Fit.Holds
		s.lo = min(s.lo, max(s.sound, d.Growth.Lo-mostBelow))
	case stepsHold(d.Steps):
		s.sound = d.Growth.Lo
	}
	return s
}

func stepsHold(steps []StepInfo) bool {
	for i := range steps {
		if steps[i].Unavoidable == nil || !*steps[i].Unavoidable {
			return false
		}
	}
	return true
}

// at is what is known of growth g. A limit's bracket itself is not known.
func (s *scale) at(g float64) zone {
	open := s.openAt(g)
	leak := s.leakAt(g)
	switch {
	case open == stuckZone:
		return stuckZone
	case leak == shortcutZone && open == worksZone:
		return shortcutZone
	case open == worksZone && leak == worksZone:
		return worksZone
	default:
		return unknownZone
	}
}

// openAt tells whether a way exists at g.
func (s *scale) openAt(g float64) zone {
	l := s.fit.BindLimit
	switch {
	case l != nil && l.Hi != nil && g > *l.Hi:
		return stuckZone
	case l != nil && l.Lo != nil && g <= *l.Lo, g <= s.opens:
		return worksZone
	default:
		return unknownZone
	}
}

// leakAt tells whether a step can be left out at g.
func (s *scale) leakAt(g float64) zone {
	l := s.fit.LeakLimit
	switch {
	case l != nil && l.Lo != nil && g <= *l.Lo:
		return shortcutZone
	case l != nil && l.Hi != nil && g >= *l.Hi, l == nil && g >= s.sound:
		return worksZone
	default:
		return unknownZone
	}
}

// share is where g lies between the ends of the scale, 0 to 1.
func (s *scale) share(g float64) float64 { return (g - s.lo) / (s.hi - s.lo) }
