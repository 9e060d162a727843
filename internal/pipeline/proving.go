package pipeline

import (
	"context"

	"feint/internal/motion"
	"feint/internal/verdict"

	"golang.org/x/sync/errgroup"
)

// hotBodies is how many bodies one proof keeps at hand: those of the design, and of some
// in which a param is tried.
const hotBodies = 32

// Prove runs every stage on the design file at path.
func Prove(ctx context.Context, path string, o Options) (*Outcome, error) {
	if o.Growth == ([2]float64{}) {
		o.Growth = DefaultGrowth
	}
	if o.Hot == nil {
		o.Hot = NewHot(hotBodies)
	}
	p := &proving{path: path, o: o, out: &Outcome{}, watch: &stopwatch{now: o.Now, seconds: map[string]float64{}}}
	if o.Now != nil {
		p.watch.last = o.Now()
	}
	within, stop := context.WithCancel(ctx) // only what runs beside: the result is asked more after Prove
	defer func() {
		stop() // nothing runs on after an error
		_, _, _, _ = p.beside.wait(), p.checked.wait(), p.plays.wait(), p.witnesses.wait()
	}()
	for _, stage := range []func(ctx, within context.Context) error{p.known, p.answer, p.early, p.further} {
		if err := stage(ctx, within); err != nil {
			return nil, err
		}
	}
	p.out.judge(p.ev, p.watch)
	if !o.uncured && !o.Handling {
		if err := cures(ctx, path, p.out, p.ps, p.ev, o); err != nil {
			return nil, err
		}
		p.watch.lap("cures")
	}
	p.out.write(p.ev, p.watch, o)
	return p.out, foretell(ctx, path, p.out, p.watch, o)
}

// proving is a proof under way. What runs beside is nil before it has begun.
type proving struct {
	path    string
	o       Options
	watch   *stopwatch
	out     *Outcome
	ev      *verdict.Evidence
	was     *before
	ps      []*pairMap
	plays   *playing
	beside  *aside
	checked *checking
	told    bool // what holds at the growths asked

	witnesses witnessing
}

// known reads the design, builds the parts and lays out what is known of their
// clearances.
func (p *proving) known(ctx, within context.Context) error {
	m, err := Load(p.path, p.o)
	if err != nil {
		return err
	}
	p.watch.lap("design")
	p.out.Mechanism = m
	if err := p.out.build(ctx, p.o); err != nil {
		return err
	}
	p.watch.lap("solids")
	bs := p.out.Bodies
	p.was = recall(m, bs, p.o)
	if p.o.Early == nil {
		p.beside = begin(within, p.out, p.o)
	}
	p.ev = &verdict.Evidence{Bounds: bounds(m, bs), Defects: defects(bs)}
	if err := p.presume(ctx); err != nil {
		return err
	}
	p.plays = measuring(m, bs, p.was, p.o)
	var skipped [][2]int
	if p.ps, skipped, err = maps(ctx, m, bs, p.was, p.o); err != nil {
		return err
	}
	if p.ev.Printer = p.o.Printer; p.ev.Printer == nil && p.o.Copies != nil {
		p.ev.Printer = p.o.Copies.Model
	}
	skip(p.ev, skipped)
	if p.ev.Clashes, err = clashes(m, bs, p.ps, p.o); err != nil {
		return err
	}
	p.ps = parted(p.ps)
	p.watch.lap("maps")
	return nil
}

// answer asks motion and the checker; the checker may still be at work after it.
func (p *proving) answer(ctx, within context.Context) error {
	asked := func(r *motion.Result, sure bool) error {
		p.witnesses.begin(within, p.out, p.ps, r.Certificates)
		if !sure || p.o.Asked == nil || !p.out.Mechanism.HandsOnly() {
			return nil
		}
		return p.asked(within, r)
	}
	if err := solve(ctx, p.out, p.ps, p.plays, asked, p.ev, p.o); err != nil {
		return err
	}
	p.ev.Play = playTold(p.plays.measured())
	p.watch.lap("motion")
	if err := directed(ctx, p.out, p.ps, p.o); err != nil {
		return err
	}
	p.ev.Hands = p.out.Hands
	if p.out.Result != nil {
		p.witnesses.begin(within, p.out, p.ps, p.out.Result.Beyond)
		p.witnesses.climb(within, p.out, p.ps, p.out.Result.Ladder)
	}
	p.checked = check(within, p.out, &p.witnesses, p.ev, p.o)
	if p.out.Hands != nil {
		p.watch.lap("hands")
	}
	return nil
}

// asked tells whether it works at the growths asked, has a shortcut there or binds, as soon
// as the checker has had its say, if anybody waits for it. How far beyond that holds, or at
// which growth between them a shortcut opens or it binds, changes none of these answers.
func (p *proving) asked(ctx context.Context, r *motion.Result) error {
	if p.told { // the limits follow, with all that the checker has to say
		learn(p.out, p.ps, r, p.o)
		return nil
	}
	first, ev := *p.out, *p.ev
	first.Result = r
	ev.Play = playTold(p.plays.measured())
	p.witnesses.climb(ctx, &first, p.ps, r.Ladder)
	if err := check(ctx, &first, &p.witnesses, &ev, p.o).wait(); err != nil {
		return err
	}
	p.soFar(&first, &ev)
	if k := first.Verdict.Kind; !first.Verdict.Certified || k != verdict.Works && k != verdict.Shortcut && k != verdict.Stuck {
		return nil
	}
	p.told = true
	p.o.Asked(&first)
	if first.Verdict.Kind == verdict.Works {
		learn(&first, p.ps, r, p.o)
	}
	return nil
}

// soFar gives the verdict on what is known by now, and writes it down.
func (p *proving) soFar(out *Outcome, ev *verdict.Evidence) {
	watch := &stopwatch{seconds: p.watch.seconds}
	out.judge(ev, watch)
	out.write(ev, watch, p.o)
}

// early tells the verdict as soon as the checker has had its say, if anybody waits
// for it, and only then sets out on what the verdict does not hang on.
func (p *proving) early(_, within context.Context) error {
	if p.o.Early == nil {
		return nil
	}
	if err := p.checked.wait(); err != nil {
		return err
	}
	p.watch.lap("proof")
	first := *p.out
	p.soFar(&first, p.ev)
	p.o.Early(&first)
	// what is left may be stopped, as where a param goes on changing: the next proof takes
	// over what this one has learnt
	keep(p.ps, p.o)
	remember(p.out.Mechanism, p.out.Bodies, p.o)
	p.beside = begin(within, p.out, p.o)
	return nil
}

// further is what the findings tell beside the verdict: forces, the print, cures,
// handling, the order of assembly.
func (p *proving) further(ctx, within context.Context) (err error) {
	ev, out, o := p.ev, p.out, p.o
	plays := p.plays.measured()
	var windows errgroup.Group // on the meshes alone, beside the rest
	windows.Go(func() (err error) {
		ev.Gates, err = gates(within, out, plays, o)
		return err
	})
	defer func() { _ = windows.Wait() }()
	if ev.Remedies, err = remedies(ctx, p.path, out, p.ps, o); err != nil {
		return err
	}
	if err := handled(ctx, out, p.ps, o); err != nil {
		return err
	}
	ev.Handling = out.Handling
	p.watch.lap("hands")
	if err := p.beside.wait(); err != nil {
		return err
	}
	ev.Forces, ev.Printing = p.beside.survey, p.beside.printing
	if err := assembled(ctx, out, p.beside.assembly, o); err != nil {
		return err
	}
	ev.Assembly = out.Assembly
	if ev.Together, err = bothPushed(ctx, out, p.ps, plays); err != nil {
		return err
	}
	if ev.Pries, err = pries(ctx, out, p.ps, plays); err != nil {
		return err
	}
	ev.Climbs = climbs(out, ev.Printing, plays)
	if err := windows.Wait(); err != nil {
		return err
	}
	p.watch.lap("forces")
	keep(p.ps, o)
	remember(out.Mechanism, out.Bodies, o)
	if err := p.checked.wait(); err != nil {
		return err
	}
	p.watch.lap("proof")
	reached(out, ev.Forces, o) // asks the space that the checker has read
	return nil
}

// build makes the bodies, with the flare where it is asked for.
func (out *Outcome) build(ctx context.Context, o Options) (err error) {
	if out.Bodies, err = bodies(ctx, out.Mechanism, o); err != nil {
		return err
	}
	return flared(out, o)
}
