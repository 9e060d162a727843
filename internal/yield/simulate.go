package yield

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"

	"feint/internal/printed"
)

// Input is what virtual prints are drawn from and judged by.
type Input struct {
	Contacts []Contact // one for every pair
	Base     []float64 // what each pair needs without growth: 0, or less where a press fit is declared, mm
	Parts    int
	Steps    int // questions 1..Steps ask whether that step can be avoided
	// Oracle answers question 0, whether the box opens, and the questions of the
	// steps. Needs are in the order of Contacts.
	Oracle func(question int) Oracle
	// Directed judges where more than the hand moves parts; nil: Oracle tells all.
	Directed Directed
	// Play is what is left of the needs when the parts are pushed about; nil
	// leaves that question out.
	Play func(needs []float64) []float64
	// Deepest is the least need for which the oracles are sharpened, mm.
	Deepest float64

	Model *printed.Model
	Use   printed.Use
	Apart bool // every part of a copy is printed by itself, with a spread of its own
	Seed  uint64
	Count int
	Level float64 // of the intervals; 0 takes 0.95
	Step  float64 // of the needs that are asked about, mm; 0 takes StepOf of the model
	// Frozen: the oracles are taken as they are, not sharpened. Else only the
	// likely needs are asked about, since the ends of the bounds and play lie where
	// sharpening is dear; of those what follows from the rest is told.
	Frozen bool
}

// StepOf is by which steps of needs the prints of a model are asked about, mm: a
// thirtieth of the spread of what a pair of walls needs from copy to copy, so that
// the border which rounding leaves open takes one or two prints of a hundred; never
// finer than a fifth of the finest map.
func StepOf(m *printed.Model) float64 {
	a := m.Amounts[printed.InPlane]
	spread := math.Sqrt(4*a.Prints*a.Prints + 2*a.Features*a.Features)
	return finest * max(1, min(coarsest, math.Floor(spread/30/finest)))
}

const (
	finest   = 0.002 // mm
	coarsest = 8     // times that
)

// grids are the steps of needs at which the engine is asked, mm, coarsest first.
func grids(fine float64) []float64 { return []float64{4 * fine, fine} }

// Learnt is all that has been learnt of a design's questions, to be kept.
type Learnt struct{ Questions []Frontier }

// Bench draws prints and judges them. It is not for use by several goroutines at
// once; its answers depend on the input and on what it was taught only.
type Bench struct {
	in  Input
	ask []*learner
	led *ledger // nil unless there is a Directed
}

// NewBench prepares a bench; what was learnt before of the same design may be
// given.
func NewBench(ctx context.Context, in Input, before Learnt) (*Bench, error) {
	if len(in.Contacts) != len(in.Base) {
		return nil, fmt.Errorf("yield: %d contacts for %d needs", len(in.Contacts), len(in.Base))
	}
	if err := in.Model.Check(); err != nil {
		return nil, err
	}
	if in.Level == 0 {
		in.Level = 0.95
	}
	if in.Step == 0 {
		in.Step = StepOf(in.Model)
	}
	b, fine := &Bench{in: in}, in.Step
	for q := range 1 + in.Steps {
		f := &Frontier{}
		if q < len(before.Questions) {
			*f = before.Questions[q]
		}
		b.ask = append(b.ask, &learner{ctx: ctx, f: f, o: in.Oracle(q), fine: fine, steps: grids(fine), tried: map[string]bool{}, frozen: in.Frozen})
	}
	if in.Directed != nil {
		b.led = newLedger(ctx, b)
	}
	return b, nil
}

// Learnt is what the bench has learnt.
func (b *Bench) Learnt() Learnt {
	var l Learnt
	for _, a := range b.ask {
		l.Questions = append(l.Questions, *a.f)
	}
	return l
}

// Asked is how often the engine was asked.
func (b *Bench) Asked() int {
	n := 0
	for _, a := range b.ask {
		n += a.asked
	}
	if b.led != nil {
		n += b.led.asked
	}
	return n
}

// Needs are what the pairs of one print need, mm: likely, and at least and at
// most whichever of its faces decides.
type Needs struct{ Likely, Lo, Hi []float64 }

// Draw is print number i of the seed.
func (b *Bench) Draw(i int) Needs {
	r := rand.New(rand.NewPCG(b.in.Seed, uint64(i)))
	prints := make([]printed.Scores, b.in.Parts)
	for k := range prints {
		if k == 0 || b.in.Apart {
			prints[k] = printed.Draw(r)
		} else {
			prints[k] = prints[0]
		}
	}
	return b.needs(func(k, side int) (print, feature printed.Scores) {
		c := &b.in.Contacts[k]
		return prints[[2]int{c.A, c.B}[side]], printed.Draw(r)
	})
}

// At is the needs of a print with the same scores in all its parts and features.
func (b *Bench) At(s printed.Scores) Needs {
	return b.needs(func(int, int) (print, feature printed.Scores) { return s, printed.Scores{} })
}

func (b *Bench) needs(scores func(pair, side int) (print, feature printed.Scores)) Needs {
	n := len(b.in.Contacts)
	all := make([]float64, 3*n)
	o := Needs{all[:n:n], all[n : 2*n : 2*n], all[2*n:]}
	for k := range b.in.Contacts {
		g := printed.Growth{}
		for side := range 2 {
			print, feature := scores(k, side)
			g = g.Plus(b.in.Contacts[k].Sides[side].growth(b.in.Model, &print, &feature, b.in.Use))
		}
		base := b.in.Base[k]
		o.Likely[k], o.Lo[k], o.Hi[k] = base+g.Likely, base+g.Lo, base+g.Hi
	}
	return o
}

// growth is that of a face: likely by the weights of its places, and the ends of
// what any of them has.
func (s *Side) growth(m *printed.Model, print, feature *printed.Scores, u printed.Use) printed.Growth {
	if len(s.Places) == 0 {
		return printed.Growth{}
	}
	v := m.Values(print, feature, s.Places[0].Material)
	var g printed.Growth
	for i := range s.Places {
		p := m.Growth(&s.Places[i], &v, u)
		g.Likely += s.Weights[i] * p.Likely
		if i == 0 {
			g.Lo, g.Hi = p.Lo, p.Hi
		}
		g.Lo, g.Hi = min(g.Lo, p.Lo), max(g.Hi, p.Hi)
	}
	return g
}

// Fate is what becomes of a print.
type Fate uint8

// The fates.
const (
	Unknown Fate = iota
	Works        // it opens, and only as meant
	Binds        // it does not open
	Leaks        // it opens, and a step can be avoided
)

func (f Fate) String() string { return [...]string{"undecided", "works", "binds", "leaks"}[f] }

// Judged is one print with its fate.
type Judged struct {
	Needs Needs
	Fate  Fate
	Steps []Answer // whether each step can be avoided
	Play  Answer   // whether some step can be avoided by pushing the parts about
	// Surely is the fate whichever face decides, Unknown where that matters.
	Surely Fate
	cure   remedy // where a Directed judges
}

// judge judges needs by what is known, asking the engine if learn is set.
func (b *Bench) judge(n Needs, learn bool) (Judged, error) {
	if b.led != nil {
		if err := b.led.begin(n.Likely); err != nil {
			return Judged{}, err
		}
		return b.led.judge(n, Undecided)
	}
	j := Judged{Needs: n}
	var err error
	answer := func(q int, needs []float64) Answer {
		if err != nil {
			return Undecided
		}
		if !learn {
			return b.ask[q].f.Known(needs)
		}
		var a Answer
		a, err = b.ask[q].ask(needs)
		return a
	}
	opens := answer(0, n.Likely)
	worst := No
	for i := range b.in.Steps {
		a := No
		if opens != No {
			a = answer(1+i, n.Likely)
		}
		j.Steps = append(j.Steps, a)
		worst = either(worst, a)
	}
	j.Fate = fate(opens, worst)
	if !b.in.Frozen {
		learn = false
	}
	j.Play = b.play(n, opens, worst, answer)
	// whichever face decides: it must open when tightest and not leak when loosest
	tight, loose := answer(0, n.Hi), answer(0, n.Lo)
	leakTight, leakLoose := No, No
	for i := range b.in.Steps {
		if loose == No {
			break
		}
		leakTight = either(leakTight, answer(1+i, n.Hi))
		leakLoose = either(leakLoose, answer(1+i, n.Lo))
	}
	switch {
	case loose == No:
		j.Surely = Binds
	case leakTight == Yes:
		j.Surely = Leaks
	case tight == Yes && leakLoose == No:
		j.Surely = Works
	}
	return j, err
}

// play tells whether some step can be avoided with the parts pushed about.
func (b *Bench) play(n Needs, opens, straight Answer, answer func(q int, needs []float64) Answer) Answer {
	if b.in.Play == nil || straight == Yes || opens == No {
		return straight
	}
	with := b.in.Play(n.Likely)
	out := No
	for i := range b.in.Steps {
		out = either(out, answer(1+i, with))
	}
	return out
}

// either is yes if one of two is.
func either(a, b Answer) Answer {
	switch {
	case a == Yes || b == Yes:
		return Yes
	case a == No && b == No:
		return No
	}
	return Undecided
}

func fate(opens, leaks Answer) Fate {
	switch {
	case opens == No:
		return Binds
	case leaks == Yes:
		return Leaks
	case opens == Yes && leaks == No:
		return Works
	}
	return Unknown
}

// Prints draws and judges all prints. Each is judged again by all that was learnt
// in the end, so that the answer does not hang on the order.
func (b *Bench) Prints(progress func(done, total int)) ([]Judged, error) {
	if b.led != nil {
		return b.led.prints(progress)
	}
	for i := range b.in.Count {
		if progress != nil && i%64 == 0 {
			progress(i, b.in.Count)
		}
		if _, err := b.judge(b.Draw(i), true); err != nil {
			return nil, err
		}
	}
	out := make([]Judged, b.in.Count)
	for i := range out {
		var err error
		if out[i], err = b.judge(b.Draw(i), false); err != nil {
			return nil, err
		}
	}
	return out, nil
}
