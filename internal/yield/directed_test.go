package yield

import (
	"encoding/json"
	"testing"

	"feint/internal/motion"
	"feint/internal/printed"
)

// trickle is a box of corridors whose way is open, in truth, only from the need from on:
// looser than that, something falls into it. It knows ways by number, each of which leads
// wherever there is one.
type trickle struct {
	box   corridor
	pair  int
	from  float64 // mm
	gap   float64
	ways  []int // by question
	calls int
}

func (d *trickle) open(needs []float64) bool {
	return needs[d.pair] >= d.from && needs[d.pair] <= d.gap
}

func (d *trickle) Ways(q int) int { return d.ways[q] }

func (d *trickle) Leads(q, _ int, needs []float64) (bool, error) { return q == 0 && d.open(needs), nil }

func (d *trickle) Find(q int, needs []float64, _ bool) (found, open bool, err error) {
	d.calls++
	ok := q == 0 && d.open(needs)
	if ok && d.ways[q] == 0 {
		d.ways[q] = 1
	}
	return ok, false, nil
}

func (d *trickle) Never(q int, lo, hi []float64, _ bool) (bool, error) {
	d.calls++
	return q > 0 || hi[d.pair] < d.from || lo[d.pair] > d.gap, nil
}

func (d *trickle) Work() int { return d.calls * 100_000 }

func (d *trickle) input(t testing.TB, a printed.Amount, n int) Input {
	in := d.box.input(t, a, n)
	d.ways = make([]int, 1+in.Steps)
	in.Directed, in.Frozen = d, true
	return in
}

// A box that opens only between two needs: the share of copies that work is the difference
// of two values of the normal distribution function (closed form). An order of needs, by
// which looser is easier, would answer all looser ones too.
func TestNoOrderIsTakenForGranted(t *testing.T) {
	const n = 4000
	a := printed.Amount{Mean: 0.06, Prints: 0.03, Features: 0.02}
	d := &trickle{box: newCorridor(0.2, 1), from: 0.08, gap: 0.2}
	r, b := run(t, d.input(t, a, n))
	sd := 0.0663324958 // sqrt(4*0.03^2 + 2*0.02^2)
	want := phi((0.2-0.12)/sd) - phi((0.08-0.12)/sd)
	within(t, "works", r.Works, r.Unknown, want)
	within(t, "binds", r.Binds, r.Unknown, 1-want)
	if r.Works.Lo > want+0.02 || r.Works.Hi < want-0.02 {
		t.Errorf("interval %.4f..%.4f misses %.4f", r.Works.Lo, r.Works.Hi, want)
	}
	if d.calls > 700 || b.Asked() == 0 {
		t.Errorf("the engine was asked %d times for %d prints", d.calls, n)
	}
	if r.SurelyWorks.Count != 0 || r.SurelyWorks.Hi < 0.9 {
		t.Errorf("whichever face decides is told: %+v", r.SurelyWorks)
	}
}

// Prints that are too tight are cured by opening the fit, those that are too loose by closing
// it; the shares are those of the closed form again.
func TestCuresGoBothWays(t *testing.T) {
	const n = 500
	d := &trickle{box: newCorridor(0.2, 1), from: 0.08, gap: 0.2}
	r, _ := run(t, d.input(t, printed.Amount{Mean: 0.06, Prints: 0.03, Features: 0.02}, n))
	sd := 0.0663324958 // sqrt(4*0.03^2 + 2*0.02^2)
	open, closed := 0, 0
	for _, c := range r.BindBy {
		switch {
		case c.Pair == 0 && c.Change > 0:
			open += c.Count
		case c.Pair == 0 && c.Change < 0:
			closed += c.Count
		}
	}
	within(t, "cured by opening", NewShare(open, 0, n, 0.95), r.Unknown, 1-phi((0.2-0.12)/sd))
	within(t, "cured by closing", NewShare(closed, 0, n, 0.95), r.Unknown, phi((0.08-0.12)/sd))
}

func TestDirectedSameSeedSameBytes(t *testing.T) {
	var first string
	for range 3 {
		d := &trickle{box: newCorridor(0.2, 0.25), from: 0.05, gap: 0.2}
		r, _ := run(t, d.input(t, printed.Amount{Mean: 0.06, Prints: 0.03, Features: 0.02}, 300))
		raw, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		if first == "" {
			first = string(raw)
		} else if string(raw) != first {
			t.Errorf("%s\n%s", first, raw)
		}
	}
}

// plain is a box that the hand alone moves, judged as one of which that is not known.
type plain struct {
	j    *motion.Judge
	ways []int
	work int
}

func (p *plain) Ways(q int) int { return p.ways[q] }

func (p *plain) Leads(q, _ int, needs []float64) (bool, error) { return p.j.Way(needs, q-1) }

func (p *plain) Find(q int, needs []float64, _ bool) (found, open bool, err error) {
	p.work++
	ok, err := p.j.Way(needs, q-1)
	p.ways[q] = max(p.ways[q], whole(ok))
	return ok, false, err
}

func (p *plain) Never(q int, lo, _ []float64, _ bool) (bool, error) {
	p.work++
	return p.j.NoWay(lo, q-1)
}

func (p *plain) Work() int { return p.work * 100_000 }

// Where the hand moves everything both ways of judging agree, print by print.
func TestBothWaysAgreeWhereTheHandMovesAll(t *testing.T) {
	const n = 400
	a := printed.Amount{Mean: 0.07, Prints: 0.04, Features: 0.02}
	box := newGate(0.25, 0.06)
	in := box.input(t, a, n)
	b, err := NewBench(t.Context(), in, Learnt{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := b.Prints(nil)
	if err != nil {
		t.Fatal(err)
	}
	again := box.input(t, a, n)
	again.Frozen, again.Directed = true, &oneAtATime{plain: plain{j: box.judge(t), ways: make([]int, 2)}, one: make(chan struct{}, 1)}
	c, err := NewBench(t.Context(), again, Learnt{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := c.Prints(nil)
	if err != nil {
		t.Fatal(err)
	}
	var fates [4]int
	for i := range got {
		fates[want[i].Fate]++
		if got[i].Fate != want[i].Fate && got[i].Fate != Unknown && want[i].Fate != Unknown {
			t.Errorf("print %d: %v, by hands alone %v", i, got[i].Fate, want[i].Fate)
		}
	}
	r := c.Report(got)
	if r.Unknown > n/20 || fates[Works] < 20 || fates[Binds] < 20 || fates[Leaks] < 20 {
		t.Errorf("%d undecided; by hands alone %v", r.Unknown, fates)
	}
}

// oneAtATime is a judge that serves one goroutine.
type oneAtATime struct {
	plain
	one chan struct{}
}

func (o *oneAtATime) Leads(q, way int, needs []float64) (bool, error) {
	o.one <- struct{}{}
	defer func() { <-o.one }()
	return o.plain.Leads(q, way, needs)
}
