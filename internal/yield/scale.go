package yield

import (
	"math"
	"slices"

	"feint/internal/printed"
)

// Scales is the range of print scales, all round 1, at which a print that grows
// as expected works. Gaps scale with the print; growth, layers and bought
// hardware do not.
type Scales struct {
	Works        bool    // at scale 1
	Lo, Hi       float64 // ends of the range, to a thousandth
	Below, Above Fate    // what becomes of it beyond the ends; Unknown also where the search ended
	EndLo, EndHi bool    // the search ended there, not the range
}

// the search for scales: from half to double size, by steps of a hundredth, then
// halved to a thousandth.
const (
	leastScale = 0.5
	mostScale  = 2
	scaleStep  = 0.01
	scaleFine  = 0.001
)

// Scales finds the range of print scales.
func (b *Bench) Scales() (Scales, error) {
	if b.led != nil {
		b.led.allow(othersWork)
	}
	at := func(s float64) (Fate, error) {
		j, err := b.judge(b.Scaled(s, printed.Scores{}), true)
		return j.Fate, err
	}
	f, err := at(1)
	out := Scales{Works: f == Works, Lo: 1, Hi: 1, Below: f, Above: f}
	if err != nil || f != Works {
		return out, err
	}
	if out.Lo, out.Below, out.EndLo, err = edgeOf(at, leastScale); err != nil {
		return out, err
	}
	out.Hi, out.Above, out.EndHi, err = edgeOf(at, mostScale)
	return out, err
}

// edgeOf walks from 1 towards a scale until the print no longer works.
func edgeOf(at func(float64) (Fate, error), end float64) (edge float64, beyond Fate, ended bool, err error) {
	n := int(math.Round(math.Abs(end-1) / scaleStep))
	step := (end - 1) / float64(n)
	good := 1.0
	for i := 1; i <= n; i++ {
		s := 1 + float64(i)*step
		f, err := at(s)
		if err != nil {
			return 0, Unknown, false, err
		}
		if f == Works {
			good = s
			continue
		}
		bad := s
		beyond = f
		for math.Abs(bad-good) > scaleFine {
			mid := (good + bad) / 2
			if f, err = at(mid); err != nil {
				return 0, Unknown, false, err
			}
			if f == Works {
				good = mid
			} else {
				bad, beyond = mid, f
			}
		}
		// next to the border the engine cannot tell; what comes of it shows farther off,
		// unless it works there again
		for ; beyond == Unknown && i <= n; i++ {
			if beyond, err = at(1 + float64(i)*step); err != nil {
				return 0, Unknown, false, err
			}
		}
		if beyond == Works {
			beyond = Unknown
		}
		return good, beyond, false, nil
	}
	return end, Unknown, true, nil
}

// Scaled is the needs, in lengths of the drawing, of a print at a scale.
//
// A pair that is drawn with clearance c has s c at scale s, and where one of the
// two is bought hardware whose face lies r outwards of the middle of the contact,
// s c + (s-1) r, since its hollow grows and it does not. So c must be at least
// (need - (s-1) r)/s. Between two bought parts nothing changes. The places of
// bought hardware along its own travels are taken to scale with the box.
func (b *Bench) Scaled(s float64, scores printed.Scores) Needs {
	c := *b
	c.in.Contacts = slices.Clone(b.in.Contacts)
	c.in.Base = slices.Clone(b.in.Base)
	for k := range c.in.Contacts {
		c.in.Base[k] *= s
		for side := range 2 {
			f := &c.in.Contacts[k].Sides[side]
			f.Places = slices.Clone(f.Places)
			for i := range f.Places {
				p := &f.Places[i]
				p.Z, p.Arm, p.Diameter = p.Z*s, p.Arm*s, p.Diameter*s
			}
		}
	}
	n := c.At(scores)
	for k := range c.in.Contacts {
		bought, r := 0, 0.0
		for _, side := range b.in.Contacts[k].Sides {
			if len(side.Places) > 0 && side.Places[0].Bought {
				bought++
				r = side.Middle
			}
		}
		for _, list := range [][]float64{n.Likely, n.Lo, n.Hi} {
			switch bought {
			case 0:
				list[k] /= s
			case 1:
				list[k] = (list[k] - (s-1)*r) / s
			default:
				list[k] = b.in.Base[k]
			}
		}
	}
	return n
}
