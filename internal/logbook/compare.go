package logbook

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Delta is one thing in which two revisions differ.
type Delta struct {
	Group  string `json:"group"` // params, fit, moves, way, estimate, yield, prints, faults
	Name   string `json:"name"`
	Before string `json:"before"` // empty: there was none, or it is not known
	After  string `json:"after"`
	Change string `json:"change"` // the difference of two numbers, signed
}

// Compare lists what changed from one revision to another: params, verdict and fit
// window, the way, yield, grams, hours, outcomes and faults. What is the same is
// left out.
func Compare(a, b *SumOf) []Delta {
	d := &deltas{}
	d.params(a.Params, b.Params)
	d.proofs(a.Proof, b.Proof)
	d.yields(a.Yield, b.Yield)
	d.prints(a, b)
	return d.out
}

type deltas struct{ out []Delta }

func (d *deltas) text(group, name, a, b string) {
	if a != b {
		d.out = append(d.out, Delta{Group: group, Name: name, Before: a, After: b})
	}
}

// number compares two numbers to the decimals that are shown.
func (d *deltas) number(group, name string, a, b *float64, decimals int, unit string) {
	word := func(v *float64) string {
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'f', decimals, 64) + unit
	}
	x, y := word(a), word(b)
	if x == y {
		return
	}
	k := Delta{Group: group, Name: name, Before: x, After: y}
	if a != nil && b != nil {
		k.Change = fmt.Sprintf("%+.*f%s", decimals, *b-*a, unit)
	}
	d.out = append(d.out, k)
}

func (d *deltas) params(a, b map[string]float64) {
	names := slices.Collect(maps.Keys(a))
	names = slices.AppendSeq(names, maps.Keys(b))
	slices.Sort(names)
	for _, n := range slices.Compact(names) {
		x, inA := a[n]
		y, inB := b[n]
		k := Delta{Group: "params", Name: n}
		if inA {
			k.Before = plain(x)
		}
		if inB {
			k.After = plain(y)
		}
		if inA && inB {
			k.Change = fmt.Sprintf("%+.6g", y-x)
		}
		if k.Before != k.After {
			d.out = append(d.out, k)
		}
	}
}

func plain(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func (d *deltas) proofs(a, b *Proof) {
	if a == nil {
		a = &Proof{}
	}
	if b == nil {
		b = &Proof{}
	}
	d.text("fit", "verdict", a.Verdict, b.Verdict)
	if a.Verdict != "" && b.Verdict != "" && (a.GrowthLo != b.GrowthLo || a.GrowthHi != b.GrowthHi) {
		d.text("fit", "growth asked", growths(a), growths(b))
	}
	d.limits("leak growth", a.LeakLo, a.LeakHi, b.LeakLo, b.LeakHi)
	d.limits("leak growth with play", a.PlayLo, a.PlayHi, b.PlayLo, b.PlayHi)
	d.limits("bind growth", a.BindLo, a.BindHi, b.BindLo, b.BindHi)
	d.number("fit", "window", window(a), window(b), 3, " mm")
	d.number("moves", "moves", real64(a.Moves), real64(b.Moves), 0, "")
	d.number("moves", "strokes", real64(a.Strokes), real64(b.Strokes), 0, "")
	if a.Verdict != "" && b.Verdict != "" {
		d.way(a.Way, b.Way)
		d.texts("moves", "parts", a.Parts, b.Parts)
		d.texts("moves", "steps", a.Steps, b.Steps)
	}
	d.number("estimate", "grams foretold", a.Grams, b.Grams, 1, " g")
	d.number("estimate", "time foretold", hours(a.Minutes), hours(b.Minutes), 2, " h")
}

func growths(p *Proof) string { return fmt.Sprintf("%+g..%+g mm", p.GrowthLo, p.GrowthHi) }

// limits compares two limits by the middle of what is known of them.
func (d *deltas) limits(name string, aLo, aHi, bLo, bHi *float64) {
	x, y := middle(aLo, aHi), middle(bLo, bHi)
	if x != nil && y != nil {
		d.number("fit", name, x, y, 3, " mm")
		return
	}
	d.text("fit", name, limitWords(aLo, aHi), limitWords(bLo, bHi))
}

func middle(lo, hi *float64) *float64 {
	if lo == nil || hi == nil {
		return nil
	}
	v := (*lo + *hi) / 2
	return &v
}

func limitWords(lo, hi *float64) string {
	switch m := middle(lo, hi); {
	case m != nil:
		return fmt.Sprintf("%.3f mm", *m)
	case lo != nil:
		return fmt.Sprintf("above %.3f mm", *lo)
	case hi != nil:
		return fmt.Sprintf("below %.3f mm", *hi)
	default:
		return ""
	}
}

func window(p *Proof) *float64 {
	lo, hi := middle(p.LeakLo, p.LeakHi), middle(p.BindLo, p.BindHi)
	if lo == nil || hi == nil {
		return nil
	}
	w := *hi - *lo
	return &w
}

func real64(n *int) *float64 {
	if n == nil {
		return nil
	}
	v := float64(*n)
	return &v
}

func hours(minutes *float64) *float64 {
	if minutes == nil {
		return nil
	}
	v := *minutes / 60
	return &v
}

// texts tells which words came and which went.
func (d *deltas) texts(group, name string, a, b []string) {
	for _, w := range a {
		if !slices.Contains(b, w) {
			d.text(group, name, w, "")
		}
	}
	for _, w := range b {
		if !slices.Contains(a, w) {
			d.text(group, name, "", w)
		}
	}
}

// way tells which moves of the way went and which came, by the longest common
// subsequence of what is done in each.
func (d *deltas) way(a, b []WayMove) {
	common := make([][]int, len(a)+1)
	for i := range common {
		common[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i].Words == b[j].Words {
				common[i][j] = common[i+1][j+1] + 1
			} else {
				common[i][j] = max(common[i+1][j], common[i][j+1])
			}
		}
	}
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		switch {
		case i < len(a) && j < len(b) && a[i].Words == b[j].Words:
			i, j = i+1, j+1
		case j == len(b) || i < len(a) && common[i+1][j] >= common[i][j+1]:
			d.out = append(d.out, Delta{Group: "way", Name: fmt.Sprintf("move %d", i+1), Before: a[i].Words})
			i++
		default:
			d.out = append(d.out, Delta{Group: "way", Name: fmt.Sprintf("move %d", j+1), After: b[j].Words})
			j++
		}
	}
}

func (d *deltas) yields(a, b *Yield) {
	share := func(y *Yield) *float64 {
		if y == nil || y.Prints == 0 {
			return nil
		}
		v := 100 * float64(y.Work) / float64(y.Prints)
		return &v
	}
	d.number("yield", "copies that work", share(a), share(b), 1, " %")
	worst := func(y *Yield) string {
		if y == nil {
			return ""
		}
		return y.Worst
	}
	d.text("yield", "most failures", worst(a), worst(b))
}

func (d *deltas) prints(a, b *SumOf) {
	x, y := float64(a.Trials), float64(b.Trials)
	d.number("prints", "prints", &x, &y, 0, "")
	d.text("prints", "outcomes", outcomes(a.Outcomes), outcomes(b.Outcomes))
	d.number("prints", "grams a copy", a.GramsEach, b.GramsEach, 1, " g")
	d.number("prints", "time a copy", hours(a.MinutesEach), hours(b.MinutesEach), 2, " h")
	d.number("prints", "grams in all", notZero(a.Grams), notZero(b.Grams), 1, " g")
	d.number("prints", "time in all", hours(notZero(a.Minutes)), hours(notZero(b.Minutes)), 2, " h")
	d.texts("faults", "seen", faultWords(a.Faults), faultWords(b.Faults))
}

func outcomes(m map[Outcome]int) string {
	var out []string
	for _, o := range append(Outcomes(), "") {
		if n := m[o]; n > 0 {
			name := string(o)
			if o == "" {
				name = "not known"
			}
			out = append(out, fmt.Sprintf("%d %s", n, name))
		}
	}
	return strings.Join(out, ", ")
}

func faultWords(fs []Fault) []string {
	out := make([]string, len(fs))
	for i := range fs {
		out[i] = fs[i].What
	}
	return out
}

// notZero is a sum, nil where nothing was known to add.
func notZero(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}
