package export

import (
	"math"
	"slices"

	"feint/internal/motion"
	"feint/internal/verdict/wording"
)

// grain is to what numbers are rounded in a document: a nanometre and a
// millionth of a degree, far below anything that is known, so that the last
// bits of a conversion do not show.
const grain = 1e-6

func tidy(v float64) float64 {
	if v = math.Round(v/grain) / (1 / grain); v == 0 {
		return 0 // never -0
	}
	return v
}

// tidyDown is tidy for a lower bound. The thousandth of a grain keeps a bound that
// is a whole number of grains from losing one to rounding.
func tidyDown(v float64) float64 { return tidy(math.Floor(v/grain+1e-3) * grain) }

// bounded is nil for what is not a finite number.
func bounded(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	v = tidy(v)
	return &v
}

// list is never nil, so that JSON has [] and not null.
func list(s []string) []string { return append([]string{}, s...) }

func (b *builder) solution(w *motion.Way) []MoveInfo {
	out := make([]MoveInfo, len(w.Moves))
	for i := range w.Moves {
		out[i] = b.move(&w.Moves[i])
	}
	return out
}

func (b *builder) move(k *motion.Move) MoveInfo {
	o := MoveInfo{Part: b.part(k.Part), Strokes: make([]StrokeInfo, len(k.Strokes)), Words: make([]string, len(k.Strokes))}
	var travels []int
	from, to := map[int]float64{}, map[int]float64{}
	for i, s := range k.Strokes {
		t := &b.m.Travels[s.Travel]
		if !slices.Contains(travels, s.Travel) {
			travels = append(travels, s.Travel)
			from[s.Travel] = b.out(s.Travel, s.From)
		}
		to[s.Travel] = b.out(s.Travel, s.To)
		o.Strokes[i] = StrokeInfo{nil, t.Name, b.out(s.Travel, s.From), b.out(s.Travel, s.To), wording.Unit(t), nil}
		if t.Part != k.Part {
			n := b.part(t.Part)
			o.Strokes[i].Part = &n
		}
		if n := wording.MarkAt(t, s.To); n != "" {
			o.Strokes[i].Mark = &n
		}
		o.Words[i] = wording.Stroke(b.m, s)
	}
	if c := bounded(k.Clearance); c != nil {
		*c = tidyDown(k.Clearance)
		o.Clearance = c
	}
	if k.Against >= 0 {
		a := b.part(k.Against)
		o.Against = &a
	}
	if len(travels) == 1 {
		n := b.m.Travels[travels[0]].Name
		o.Travel, o.From, o.To = &n, from[travels[0]], to[travels[0]]
		return o
	}
	f, g := []float64{}, []float64{}
	o.Travels = []string{}
	for _, t := range travels {
		o.Travels = append(o.Travels, b.m.Travels[t].Name)
		f, g = append(f, from[t]), append(g, to[t])
	}
	o.From, o.To = f, g
	return o
}

func openings(r *motion.Result) []OpeningInfo {
	out := make([]OpeningInfo, 0, 3)
	for _, o := range []struct {
		at string
		motion.Opening
	}{{"loose", r.Loose}, {"drawn", r.Drawn}, {"tight", r.Tight}} {
		i := OpeningInfo{At: o.at, Growth: tidy(o.Growth), Opens: o.Opens.String()}
		if o.Moves > 0 {
			i.Moves = &o.Moves
		}
		out = append(out, i)
	}
	return out
}

func (b *builder) steps(r *motion.Result) []StepInfo {
	out := []StepInfo{}
	for i := range r.Steps {
		s := &r.Steps[i]
		if s.Index < 0 || s.Index >= len(b.m.Steps) {
			continue
		}
		o := StepInfo{Name: b.m.Steps[s.Index].Name, Bypass: leakAt(s.Bypass), BypassPlay: leakAt(s.BypassPlay), BypassLimit: limitInfo(s.Bypass), Holds: bounded(s.HoldsTo)}
		if s.Unavoidable != motion.Undecided {
			u := s.Unavoidable == motion.Yes
			o.Unavoidable = &u
		}
		if w := s.Shortcut; w != nil {
			o.Shortcut = &ShortcutInfo{tidy(w.Growth), len(w.Moves), w.Strokes(), b.solution(w)}
		}
		out = append(out, o)
	}
	return out
}

// leakAt is the growth at and below which something leaks: the middle of the
// bracket, or the greatest growth searched where it leaks even there.
func leakAt(l *motion.Limit) *float64 {
	switch {
	case l == nil || !l.Seen():
		return nil
	case l.Open():
		return bounded(l.Lo)
	}
	mid, _ := wording.Middle(l)
	return bounded(mid)
}

func limitInfo(l *motion.Limit) *LimitInfo {
	if l == nil {
		return nil
	}
	o := &LimitInfo{bounded(l.Lo), bounded(l.Hi)}
	if l.Below {
		o.Lo = nil
	}
	if l.Above {
		o.Hi = nil
	}
	return o
}

func (b *builder) fit(r *motion.Result) FitInfo {
	f := &r.Fit
	o := FitInfo{
		Leak: leakAt(f.Leak), LeakPlay: leakAt(f.LeakPlay),
		LeakLimit: limitInfo(f.Leak), BindLimit: limitInfo(f.Bind), PlayLimit: limitInfo(f.LeakPlay),
	}
	if l := f.Bind; l != nil && l.Seen() && !l.Open() {
		mid, _ := wording.Middle(l)
		o.Bind = bounded(mid)
	}
	for _, l := range []*motion.Limit{f.Leak, f.Bind} {
		if l == nil || !l.Seen() || l.Open() {
			continue
		}
		_, half := wording.Middle(l)
		if o.Uncertainty == nil || half > *o.Uncertainty {
			o.Uncertainty = bounded(half)
		}
	}
	holds := math.Inf(-1)
	for i := range r.Steps {
		holds = max(holds, r.Steps[i].HoldsTo)
	}
	o.Holds = bounded(holds)
	if t := f.Tightest; t.A != t.B {
		o.Tightest = &TightestInfo{b.names([]int{t.A, t.B}), b.settings(t.At), tidyDown(t.Clearance)}
	}
	return o
}

func (b *builder) unnamed(r *motion.Result) []UnnamedInfo {
	out := []UnnamedInfo{}
	for _, q := range r.Required {
		if q.Travel >= 0 && q.Travel < len(b.m.Travels) {
			out = append(out, UnnamedInfo{b.setting(q.Travel, q.Value), q.Rising})
		}
	}
	return out
}

func reset(r *motion.Result) ResetInfo {
	o := ResetInfo{Possible: r.Reset.Possible.String()}
	if r.Reset.Possible == motion.Yes {
		n := r.Reset.Moves
		o.Moves = &n
	}
	return o
}

func space(r *motion.Result) SpaceInfo {
	s := &r.Space
	return SpaceInfo{s.Travels, s.Configurations, s.Free, s.FreeUpper, s.Reachable, s.ReachableUpper, s.Resolution, r.Nodes}
}
