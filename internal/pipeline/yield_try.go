package pipeline

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"

	"feint/internal/clearance"
	"feint/internal/design"
	"feint/internal/mechanism"
	"feint/internal/yield"
)

// ParamTry is what became of the prints when one param was changed.
type ParamTry struct {
	Param string
	From  float64
	To    float64
	Works yield.Share
	Won   float64 // the share of prints gained, negative if lost
	Why   string  // why it was not tried, if it was not
}

const (
	// tryPrints is how many prints a change is tried with, the same prints for every
	// change, so that their differences are those of the change.
	tryPrints = 500
	// tryDirected is how many where each is followed by itself.
	tryDirected = 150
	// DefaultTries is how many values of params are tried unless asked otherwise.
	DefaultTries = 8
)

// change is a value of a param with the design that it makes.
type change struct {
	ParamTry
	m    *mechanism.Mechanism
	bs   []Body
	name string // of what would be learnt of it
	part []bool // by part: whether it is another one
	hits int    // prints that fail at pairs of such parts
}

// tryParams changes params up and down by a step, one at a time, and judges the same
// prints again: first those that change parts at which the most prints fail, and no
// more values than asked. Params whose unit is not a length or an angle are whole
// numbers, names of variants and the like, and are left alone.
//
// Before and after are looked at alike, more roughly than in full, so that what stays
// undecided is no difference; pairs that a change leaves as they are keep their maps.
func tryParams(ctx context.Context, path string, full *stand, o Options, y YieldOptions) ([]ParamTry, error) {
	most := cmp.Or(y.Tries, DefaultTries)
	y.Count, y.Try, y.rough = min(y.Count, tryPrints), false, true
	if !full.m.HandsOnly() {
		y.Count = min(y.Count, tryDirected)
	}
	s, err := newStand(ctx, full.m, full.bs, o, y, nil)
	if err != nil {
		return nil, err
	}
	now := &YieldOutcome{Options: y}
	if err := s.judge(now, o); err != nil {
		return nil, err
	}
	all, err := changes(ctx, path, s, o, y)
	if err != nil {
		return nil, err
	}
	for i := range all {
		all[i].hits = hits(&now.Report, s.in.Contacts, all[i].part)
	}
	slices.SortStableFunc(all, func(a, b change) int { return cmp.Compare(b.hits, a.hits) })
	tried := 0
	for i := range all {
		c := &all[i]
		switch {
		case c.Why != "":
		case c.name == s.name: // nothing that counts is another
			c.Works = now.Report.Works
		case tried == most:
			c.Why = fmt.Sprintf("not tried, since %d values at which the failures point rather were (--tries)", most)
		default:
			tried++
			o.progress(fmt.Sprintf("%s = %g", c.Param, c.To), tried, min(most, len(all)))
			if err := c.judge(ctx, s, now.Report.Works.Share, o, y); err != nil {
				return nil, err
			}
		}
	}
	tries := make([]ParamTry, len(all))
	for i := range all {
		tries[i] = all[i].ParamTry
	}
	slices.SortStableFunc(tries, func(a, b ParamTry) int {
		return cmp.Or(cmp.Compare(len(a.Why), len(b.Why))*notBoth(a.Why, b.Why), cmp.Compare(b.Won, a.Won))
	})
	return tries, nil
}

// notBoth is 1 if one of two texts is empty and the other is not, else 0.
func notBoth(a, b string) int {
	if (a == "") != (b == "") {
		return 1
	}
	return 0
}

// changes builds the design with every value to be tried.
func changes(ctx context.Context, path string, s *stand, o Options, y YieldOptions) ([]change, error) {
	var all []change
	for i := range s.m.Params {
		p := &s.m.Params[i]
		for _, to := range steps(p) {
			c := change{ParamTry: ParamTry{Param: p.Name, From: p.Value, To: to}}
			if err := c.build(ctx, path, s, o, y); err != nil {
				if ctx.Err() != nil || errors.Is(err, context.Canceled) {
					return nil, err
				}
				c.Why = err.Error() // the design refuses this value
			}
			all = append(all, c)
		}
	}
	return all, nil
}

func (c *change) build(ctx context.Context, path string, s *stand, o Options, y YieldOptions) (err error) {
	o.Set = append(slices.DeleteFunc(slices.Clone(o.Set), func(s design.Setting) bool { return s.Name == c.Param }),
		design.Setting{Name: c.Param, Value: strconv.FormatFloat(c.To, 'g', -1, 64)})
	if c.m, err = Load(path, o); err != nil {
		return err
	}
	if c.bs, err = bodies(ctx, c.m, o); err != nil {
		return err
	}
	for i := range c.bs {
		if !c.bs[i].Sound() {
			return fmt.Errorf("part %q: %w", c.m.Parts[i].Name, ErrUnsound)
		}
	}
	is := &stand{ctx: ctx, m: c.m}
	c.name = is.key(c.bs, playsOf(c.m, c.bs, o), y)
	if len(c.bs) != len(s.bs) {
		return nil
	}
	c.part = make([]bool, len(c.bs))
	for i := range c.bs {
		c.part[i] = c.bs[i].Hash != s.bs[i].Hash
	}
	return nil
}

// hits counts the prints that are cured at pairs of the parts marked; a change of the
// travels alone, which marks none, may do anything and counts as all.
func hits(r *yield.Report, contacts []yield.Contact, part []bool) int {
	n, all, any := 0, 0, false
	for _, causes := range [][]yield.Cause{r.BindBy, r.LeakBy} {
		for _, c := range causes {
			all += c.Count
			if c.Pair >= 0 && len(part) > 0 && (part[contacts[c.Pair].A] || part[contacts[c.Pair].B]) {
				n += c.Count
			}
		}
	}
	any = slices.Contains(part, true)
	if !any {
		return all
	}
	return n
}

func (c *change) judge(ctx context.Context, s *stand, before float64, o Options, y YieldOptions) error {
	is, err := newStand(ctx, c.m, c.bs, o, y, s)
	var out YieldOutcome
	if err == nil {
		out.Options = y
		err = is.judge(&out, o)
	}
	switch {
	case err != nil && (ctx.Err() != nil || errors.Is(err, context.Canceled)):
		return err
	case err != nil:
		c.Why = err.Error()
	default:
		c.Works = out.Report.Works
		c.Won = c.Works.Share - before
	}
	return nil
}

// fresh is a map that knows nothing but what it takes over from the design that this
// one is a change of; k is its number.
func (s *stand) fresh(a, b, k int) (*clearance.Map, error) {
	c, err := clearance.New(s.m, a, b, s.prepared[a], s.prepared[b])
	if err != nil || s.like == nil || len(s.like.bs) != len(s.bs) || clearance.Key(s.m, a, b) != clearance.Key(s.like.m, a, b) {
		return c, err
	}
	old := s.like.maps[k]
	otherA, otherB := s.bs[a].Hash != s.like.bs[a].Hash, s.bs[b].Hash != s.like.bs[b].Hash
	switch {
	case otherA && otherB:
		return c, nil
	case otherA:
		return c, c.Inherit(s.ctx, old, clearance.Changed(s.bs[a].Tree(), s.like.bs[a].Tree(), true))
	case otherB:
		return c, c.Inherit(s.ctx, old, clearance.Changed(s.bs[b].Tree(), s.like.bs[b].Tree(), false))
	}
	var buf bytes.Buffer
	if err := old.Save(&buf); err != nil {
		return nil, err
	}
	return clearance.Load(&buf, s.m, a, b, s.prepared[a], s.prepared[b])
}

// steps are the values to try for a param: 0.05 mm for lengths below a millimetre
// (a quarter of a usual gap), else a twentieth of it; never beyond its range.
func steps(p *mechanism.Param) []float64 {
	if p.Unit != "mm" && p.Unit != "deg" {
		return nil
	}
	d := max(0.05, math.Abs(p.Value)/20)
	if math.Abs(p.Value) < 1 {
		d = 0.05
	}
	var out []float64
	for _, v := range []float64{p.Value + d, p.Value - d} {
		v = math.Round(v*1e6) / 1e6
		if v = max(p.Min, min(p.Max, v)); v != p.Value {
			out = append(out, v)
		}
	}
	return out
}
