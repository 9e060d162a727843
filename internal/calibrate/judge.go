package calibrate

import (
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"feint/internal/printed"
)

// judge foretells every reading from all others and from the prior, on all processors,
// and names the slips.
func (l *leaver) judge(r *Result, prior *posterior) {
	type told struct {
		fit, before float64
		slip        *Outlier
	}
	f, n := l.f, len(l.f.readings)
	alone := *prior
	alone.spreads = byFeatures(prior.spreads)
	all := make([]told, n)
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				post := l.without(i)
				fit, slip := f.foretell(post, i)
				before, _ := f.foretell(f.around(&alone, i), i)
				all[i] = told{fit: fit, before: before}
				if slip > 0.5 {
					o := f.outlier(i, post, slip)
					all[i].slip = &o
				}
			}
		})
	}
	wg.Wait()
	for i := range all { // in their order, so that the sums are the same every time
		r.Score += all[i].fit
		r.ScorePrior += all[i].before
		if all[i].slip != nil {
			r.Outliers = append(r.Outliers, *all[i].slip)
		}
	}
	r.Score /= float64(n)
	r.ScorePrior /= float64(n)
}

// foretell is the logarithm of the chance of reading i under a posterior, and the
// chance that the reading is a slip.
func (f *fitter) foretell(p *around, i int) (score, slip float64) {
	r, k := &f.readings[i], &f.classes[f.cells[f.cellOf[i]].class]
	known := max(0, p.cov[0][0])
	good, bad := 0.0, 0.0
	for _, s := range p.spreads {
		v := r.noise(s.features)
		switch r.Kind {
		case Fit:
			u := known + v + max(p.cov[1][1], p.cov[2][2]) // of the limits the less known
			good += s.weight * k.between(p, r.place(), math.Sqrt(u))
			bad += s.weight / 4
		default:
			u, off := known+v, r.place()-p.mean[0]
			good += s.weight * normal(off, u)
			bad += s.weight * normal(off, u+slipSd*slipSd)
		}
	}
	good, bad = (1-slipChance)*good, slipChance*bad
	return math.Log(good + bad), bad / (good + bad)
}

// between is the chance that a gap, drawn so wide, lies between the limits of its feel.
func (c *class) between(p *around, drawn, sd float64) float64 {
	lo, hi := c.ends(&p.mean)
	if !(lo < hi) {
		return 0
	}
	gap, unit := drawn+p.mean[0], sd*math.Sqrt2
	return max(0, 0.5*(math.Erfc((lo-gap)/unit)-math.Erfc((hi-gap)/unit)))
}

// normal is the density of a number that lies off its mean by so much.
func normal(off, variance float64) float64 {
	return math.Exp(-off*off/(2*variance)) / math.Sqrt(2*math.Pi*variance)
}

func (f *fitter) outlier(i int, p *around, chance float64) Outlier {
	r := &f.readings[i]
	o := Outlier{Index: i, Name: r.Name, Chance: chance}
	base, _ := r.row()
	eta := base + p.mean[0]
	if r.Kind == Fit {
		o.Message = fmt.Sprintf("felt %s at a drawn gap of %.2f mm a side, where the other readings leave %.2f mm: feel it again", r.Felt, r.Gap, eta)
		return o
	}
	o.Message = fmt.Sprintf("measured %.2f mm where the other readings foretell %.2f: measure it again", r.Size, eta)
	return o
}

// estimates lists the unknowns with prior and posterior p.
func (f *fitter) estimates(r *Result, p, prior *posterior) {
	names := [unknowns][2]string{
		{"growth in plane", "mm"},
		{"growth of bores besides", "mm"},
		{"growth of small bores", "mm2"},
		{"growth of small pegs", "mm2"},
		{"growth in height", "mm"},
		{"shrink", ""},
		{"gap where stuck turns to tight", "mm"},
		{"gap where tight turns to sliding", "mm"},
		{"gap where sliding turns to loose", "mm"},
	}
	for k, n := range names {
		sd := min(p.sd[k], f.priorSd[k]) // readings never make an unknown less known
		r.Estimates = append(r.Estimates, Estimate{
			Name: n[0], Unit: n[1], Prior: f.priorM[k], PriorSd: f.priorSd[k], Value: p.mean[k], Sd: sd,
			Lo: p.mean[k] - z()*sd, Hi: p.mean[k] + z()*sd,
		})
	}
	for _, s := range []struct {
		name     string
		now, was Estimate
	}{{"spread between prints", p.prints, prior.prints}, {"spread between features", p.features, prior.features}} {
		e := s.now
		e.Name, e.Unit, e.Prior, e.PriorSd = s.name, "mm", s.was.Value, s.was.Sd
		r.Estimates = append(r.Estimates, e)
	}
}

// model is the prior with what was learnt put in: the spread of the next print is
// that between prints together with what is not known of the mean.
func (f *fitter) model(prior *printed.Model, p *posterior, kept bool) *printed.Model {
	m := prior.Clone()
	if kept {
		return m
	}
	m.Source = fmt.Sprintf("%s of %s, starting from %q", counted(len(f.readings), "reading"), counted(f.prints, "print"), prior.Name)
	put := func(a *printed.Amount, k int, spread float64) {
		a.Mean = p.mean[k]
		a.Prints = math.Hypot(min(p.sd[k], f.priorSd[k]), spread)
	}
	put(&m.Amounts[printed.InPlane], uInPlane, p.prints.Value)
	m.Amounts[printed.InPlane].Features = p.features.Value
	put(&m.Amounts[printed.Bore], uBore, 0)
	put(&m.Amounts[printed.BoreSmall], uBoreSmall, 0)
	put(&m.Amounts[printed.PegSmall], uPegSmall, 0)
	put(&m.Amounts[printed.Height], uHeight, 0)
	s := m.ShrinkOf("")
	put(&s, uShrink, 0)
	m.Shrink[""] = s
	return m
}

// counted is a number of things in words.
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
