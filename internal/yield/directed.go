package yield

import (
	"context"
	"runtime"
	"slices"

	"feint/internal/printed"

	"golang.org/x/sync/errgroup"
)

// Directed judges prints of a design in which weight, contact, springs or tools move parts.
// There a looser print is not always the easier one, so that an answer for one list of
// needs says nothing of the lists above or below it. What says more than itself is only
// this:
//
//   - Hands that reach everything bound every other law. Where they find no way no law
//     has one; and to them the question is monotone (Input.Oracle, of which only "no" counts).
//   - Never is asked about all needs of a box at once.
//   - A way is led at the needs of every print by itself (Leads).
//
// Questions are numbered as those of Input.Oracle.
type Directed interface {
	// Ways is how many ways are known of a question.
	Ways(question int) int
	// Leads tells whether one of them surely leads into the goal at the needs. It may be
	// asked by several goroutines at once, as long as nothing else is.
	Leads(question, way int, needs []float64) (bool, error)
	// Find looks for another way at the needs, and adds one that surely leads there: found.
	// It is open where one is seen of which it cannot be told whether it leads.
	Find(question int, needs []float64, deep bool) (found, open bool, err error)
	// Never tells whether no way leads at any needs from lo to hi.
	Never(question int, lo, hi []float64, deep bool) (bool, error)
	// Work is a measure of what Find and Never took so far, the same on every machine: some
	// million to the second.
	Work() int
}

// room is a box of needs.
type room struct{ lo, hi []float64 }

func (r *room) holds(needs []float64) bool { return below(r.lo, needs) && below(needs, r.hi) }

// halfWidths are by how much needs are widened either way, mm, when Never has said so of
// the needs as they are: what it tells of a box of them holds for more prints.
func halfWidths() []float64 { return []float64{0.02, 0.06, 0.2} }

// futile is how often a width is tried in vain before it is tried no more.
const futile = 3

// How much work may be put into the questions for the prints, and for the corners or the
// scales, some million to the second; and how many may be asked on fine units. What would
// need more stays undecided.
const (
	printsWork = 60_000_000
	othersWork = 15_000_000
	deepAsked  = 24
)

// exact is to what needs are rounded, upwards, before a way is led, mm. Who keeps clear of
// more keeps clear of less, so what was shown clear is. What is pushed or falls is stopped
// earlier by so much over the slope of what stops it. Where that is no less than that of the
// steepest wedge by which something is still pushed, 0.447, it is 0.016 mm, and with the
// 0.004 mm to which proof.Led closes in on contact within the 0.02 mm by which it lets stand
// off what is at rest: what was led is a motion by the law at the needs themselves.
const exact = 0.007

// ledger is what is known of a design with a Directed.
type ledger struct {
	ctx   context.Context
	b     *Bench
	d     Directed
	never [][]room // by question: boxes of needs at which the answer is no
	vain  [][]int  // by question and width: how often it told nothing
	hull  *room    // of all prints drawn
	whole []bool   // by question: whether the hull was asked about
	begun bool
	asked int       // questions put to the engine
	until int       // up to which of its work more may be put
	deep  int       // of these, on fine units
	works []float64 // needs of a print that works, nil if none is known
	tries int       // ways led in search of cures
}

func newLedger(ctx context.Context, b *Bench) *ledger {
	n := 1 + b.in.Steps
	l := &ledger{ctx: ctx, b: b, d: b.in.Directed, never: make([][]room, n), vain: make([][]int, n), whole: make([]bool, n)}
	for q := range l.vain {
		l.vain[q] = make([]int, len(halfWidths()))
	}
	return l
}

// begin looks for the ways of a print as drawn and as expected.
func (l *ledger) begin(expected []float64) error {
	if l.begun {
		return nil
	}
	l.begun = true
	if l.until == 0 {
		l.allow(othersWork)
	}
	for _, needs := range [][]float64{l.b.in.Base, expected} {
		a, err := l.leads(0, needs)
		for _, deep := range [2]bool{false, true} {
			if a != Undecided || err != nil {
				break
			}
			a, _, err = l.find(0, needs, deep)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// known is the answer that follows from what is known without leading a way.
func (l *ledger) known(q int, needs []float64) (Answer, error) {
	for i := range l.never[q] {
		if l.never[q][i].holds(needs) {
			return No, nil
		}
	}
	a, err := l.b.ask[q].ask(needs)
	if a == Yes { // of hands that reach everything
		a = Undecided
	}
	return a, err
}

// leads is Yes where one of the ways known leads.
func (l *ledger) leads(q int, needs []float64) (Answer, error) {
	up := rounded(needs, l.exact(), true)
	for w := range l.d.Ways(q) {
		if ok, err := l.d.Leads(q, w, up); ok || err != nil {
			if err != nil {
				return Undecided, err
			}
			return Yes, nil
		}
	}
	return Undecided, nil
}

// answer asks whatever it takes.
func (l *ledger) answer(q int, needs []float64) (Answer, error) {
	if a, err := l.known(q, needs); a != Undecided || err != nil {
		return a, err
	}
	if q > 0 { // of a step it is mostly "no", and a way that does not lead is dear to follow
		if a, err := l.shut(q, needs); a != Undecided || err != nil {
			return a, err
		}
	}
	if a, err := l.leads(q, needs); a != Undecided || err != nil {
		return a, err
	}
	a, open, err := l.find(q, needs, false)
	if a != Undecided || err != nil {
		return a, err
	}
	if q == 0 {
		if a, err := l.shut(q, needs); a != Undecided || err != nil {
			return a, err
		}
	}
	if l.deep == 0 || !l.more() {
		return Undecided, nil
	}
	l.deep--
	if !open { // else finer units see it too
		if a, _, err := l.find(q, needs, true); a != Undecided || err != nil {
			return a, err
		}
	}
	return l.ask(q, room{needs, needs}, true)
}

// find is Yes if another way is found that leads; open if there is one of which that cannot be
// told.
func (l *ledger) find(q int, needs []float64, deep bool) (a Answer, open bool, err error) {
	if !l.more() {
		return Undecided, false, nil
	}
	l.asked++
	found, open, err := l.d.Find(q, rounded(needs, l.exact(), true), deep)
	if found && err == nil {
		return Yes, true, nil
	}
	return Undecided, open, err
}

// exact is to what needs are rounded: no more than elsewhere.
func (l *ledger) exact() float64 { return min(exact, l.b.in.Step) }

// allow lets so much work be put into questions to the engine.
func (l *ledger) allow(work int) { l.until, l.deep = l.d.Work()+work, deepAsked }

// more tells whether more may be asked.
func (l *ledger) more() bool { return l.d.Work() < l.until }

// ask is No if there is no way at all needs of a room, which is kept.
func (l *ledger) ask(q int, r room, deep bool) (Answer, error) {
	if !l.more() {
		return Undecided, nil
	}
	l.asked++
	no, err := l.d.Never(q, r.lo, r.hi, deep)
	if !no || err != nil {
		return Undecided, err
	}
	l.never[q] = append(l.never[q], r)
	return No, nil
}

// shut asks about all prints at once, and else about the needs given, and about boxes round
// them once it was told of these.
func (l *ledger) shut(q int, needs []float64) (Answer, error) {
	if q > 0 && l.hull != nil && l.hull.holds(needs) && !l.whole[q] {
		l.whole[q] = true
		if a, err := l.ask(q, *l.hull, false); a != Undecided || err != nil {
			return a, err
		}
	}
	a, err := l.ask(q, room{needs, needs}, false)
	if a != No || err != nil {
		return a, err
	}
	for i, half := range halfWidths() {
		if l.vain[q][i] == futile {
			break
		}
		if a, err := l.ask(q, l.round(needs, half), false); a != No || err != nil {
			l.vain[q][i]++
			return No, err
		}
		l.vain[q][i] = 0
	}
	return No, nil
}

// round is the box of needs no farther than half from those given.
func (l *ledger) round(needs []float64, half float64) room {
	r := room{slices.Clone(needs), slices.Clone(needs)}
	for i := range needs {
		r.lo[i], r.hi[i] = needs[i]-half, needs[i]+half
		if l.hull != nil { // beyond it there is nobody to be answered
			r.lo[i], r.hi[i] = min(needs[i], max(r.lo[i], l.hull.lo[i])), max(needs[i], min(r.hi[i], l.hull.hi[i]))
		}
	}
	return r
}

// judge judges a print, of which opens is known already or Undecided.
func (l *ledger) judge(n Needs, opens Answer) (Judged, error) {
	j := Judged{Needs: n}
	var err error
	if opens == Undecided {
		opens, err = l.answer(0, n.Likely)
	}
	worst := No
	for i := range l.b.in.Steps {
		a := No
		if opens != No && err == nil {
			a, err = l.answer(1+i, n.Likely)
		}
		j.Steps = append(j.Steps, a)
		worst = either(worst, a)
	}
	if err != nil {
		return j, err
	}
	j.Fate = fate(opens, worst)
	if j.Fate == Works && l.works == nil {
		l.works = n.Likely
	}
	if j.Play, err = l.played(n.Likely, opens, worst); err != nil {
		return j, err
	}
	// Whichever face decides: only what even hands that reach everything cannot do at the
	// loosest is told of all needs between.
	loose, err := l.b.ask[0].ask(n.Lo)
	if loose == No {
		j.Surely = Binds
	}
	return j, err
}

// played tells whether some step can be avoided with the parts pushed about: No where even
// hands that reach everything cannot.
func (l *ledger) played(likely []float64, opens, straight Answer) (Answer, error) {
	if l.b.in.Play == nil || straight == Yes || opens == No {
		return straight, nil
	}
	with, out := l.b.in.Play(likely), No
	for i := range l.b.in.Steps {
		a, err := l.b.ask[1+i].ask(with)
		if err != nil {
			return Undecided, err
		}
		if a == Yes {
			a = Undecided
		}
		out = either(out, a)
	}
	return out, nil
}

// prints draws and judges all prints: what costs little first, then the ways known for many
// at once, then what the rest takes, one after the other. Those left undecided are judged
// again by all that was learnt in the end.
func (l *ledger) prints(progress func(done, total int)) ([]Judged, error) {
	l.allow(printsWork)
	n := l.b.in.Count
	out, opens := make([]Judged, n), make([]Answer, n)
	if progress == nil {
		progress = func(int, int) {}
	}
	for i := range out {
		out[i].Needs = l.b.Draw(i)
		l.widen(out[i].Needs.Likely)
	}
	if err := l.begin(l.b.At(printed.Scores{}).Likely); err != nil {
		return nil, err
	}
	for i := range out {
		var err error
		if opens[i], err = l.known(0, out[i].Needs.Likely); err != nil {
			return nil, err
		}
	}
	if err := l.together(out, opens, progress); err != nil {
		return nil, err
	}
	for i := range out {
		j, err := l.judge(out[i].Needs, opens[i])
		if err != nil {
			return nil, err
		}
		out[i] = j
		if i%16 == 0 {
			progress(i, n)
		}
	}
	l.allow(0)
	for i := range out {
		if out[i].Fate != Unknown {
			continue
		}
		j, err := l.judge(out[i].Needs, Undecided)
		if err != nil {
			return nil, err
		}
		out[i] = j
	}
	return out, l.cures(out)
}

func (l *ledger) widen(needs []float64) {
	if l.hull == nil {
		l.hull = &room{slices.Clone(needs), slices.Clone(needs)}
	}
	for i, n := range needs {
		l.hull.lo[i], l.hull.hi[i] = min(l.hull.lo[i], n), max(l.hull.hi[i], n)
	}
}

// together leads the ways known of opening for all prints of which the answer is open. The
// ways are no others meanwhile, so the number of goroutines does not show.
func (l *ledger) together(ps []Judged, opens []Answer, progress func(done, total int)) error {
	g, ctx := errgroup.WithContext(l.ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	done := 0
	for i := range ps {
		if opens[i] != Undecided {
			done++
			continue
		}
		progress(done, len(ps))
		done++
		g.Go(func() (err error) {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			opens[i], err = l.leads(0, ps[i].Needs.Likely)
			return err
		})
	}
	return g.Wait()
}
