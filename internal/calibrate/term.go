package calibrate

import "math"

// term is the density of the readings of one class for one spread between features.
type term struct {
	v, w   float64 // 1 by the variance of a reading, and of one that is a slip
	half   float64 // half their difference
	odds   float64 // of a slip to none where the reading is as expected
	height float64 // the logarithm of the density there without a slip
	sd     float64 // of a felt one
}

// terms are those of all classes.
func (f *fitter) terms(out []term, features float64) {
	for i := range f.classes {
		c := &f.classes[i]
		v := c.own + c.surfaces*features*features
		w := v + slipSd*slipSd
		out[i] = term{
			v: 1 / v, w: 1 / w, half: (1/v - 1/w) / 2, sd: math.Sqrt(v),
			odds:   slipChance / (1 - slipChance) * math.Sqrt(v/w),
			height: math.Log(1-slipChance) - math.Log(2*math.Pi*v)/2,
		}
	}
}

// pull is how the logarithm of a reading's chance changes: its slope as a lower and as
// an upper limit, if it has such, come nearer, and its curvature with the sign turned.
// A measured size has the lower one alone, which is its distance.
type pull struct {
	lo, hi     float64
	ll, lh, hh float64
}

// steep is the odds beyond which a reading is a slip and nothing else, as a logarithm.
const steep = 300

// size is the chance of a measured size that lies off by so much: its logarithm is
// value + log(times). The sum of two normal densities, differentiated; between them (a
// reading that may be a slip) it bends the other way.
func (t *term) size(off float64) (value, times, slope, bend float64) {
	q := off * off
	value, times = t.height-q*t.v/2, 1.0
	slip := 1.0 // the chance that it is one
	if e := q * t.half; e < steep {
		odds := t.odds * math.Exp(e)
		times = 1 + odds
		slip = odds / times
	} else {
		value += math.Log(t.odds) + e
	}
	v, w := (1-slip)*t.v, slip*t.w
	slope = off * (v + w)
	bend = v*(1-q*t.v) + w*(1-q*t.w) + slope*slope
	return value, times, slope, bend
}

// felt is the chance of a fit felt so whose gap lies so far below its lower and its
// upper limit, and how that changes. The chance of an interval of a normal number is
// log-concave in both ends; only the slips bend the other way.
func (t *term) felt(lo, hi float64) (chance float64, p pull) {
	a, b := lo/t.sd, hi/t.sd
	if !(a < b) {
		return slipChance / 4, p
	}
	chance = (1-slipChance)*max(0, 0.5*(math.Erfc(a/math.Sqrt2)-math.Erfc(b/math.Sqrt2))) + slipChance/4
	scale := (1 - slipChance) / (t.sd * math.Sqrt(2*math.Pi) * chance)
	if !math.IsInf(a, -1) {
		d := scale * math.Exp(-a*a/2)
		p.lo = d
		p.ll = d*d - d*a/t.sd
	}
	if !math.IsInf(b, 1) {
		d := scale * math.Exp(-b*b/2)
		p.hi = -d
		p.hh = d*d + d*b/t.sd
	}
	p.lh = p.lo * p.hi
	return chance, p
}

// straighten takes what is below zero out of the curvature, and gives it; false if there
// is none.
func (p *pull) straighten() (out pull, some bool) {
	if p.ll >= 0 && p.hh >= 0 && p.ll*p.hh >= p.lh*p.lh {
		return out, false
	}
	out = pull{ll: p.ll, lh: p.lh, hh: p.hh}
	mean, off := (p.ll+p.hh)/2, math.Hypot((p.ll-p.hh)/2, p.lh)
	most, least := mean+off, mean-off
	k := 0.0
	if most > 0 {
		k = most / (most - least)
	}
	p.ll, p.lh, p.hh = k*(p.ll-least), k*p.lh, k*(p.hh-least)
	return pull{ll: out.ll - p.ll, lh: out.lh - p.lh, hh: out.hh - p.hh}, true
}

// axes are the two directions, each across the other, in which the curvature is one
// number, as shares of lower and upper limit.
func (p *pull) axes() (axis [2][2]float64, bend [2]float64) {
	angle := math.Atan2(2*p.lh, p.ll-p.hh) / 2
	s, c := math.Sincos(angle)
	axis = [2][2]float64{{c, s}, {-s, c}}
	for k, a := range axis {
		bend[k] = max(0, a[0]*a[0]*p.ll+2*a[0]*a[1]*p.lh+a[1]*a[1]*p.hh)
	}
	return axis, bend
}
