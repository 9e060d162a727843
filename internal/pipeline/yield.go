package pipeline

import (
	"bytes"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"math"

	"feint/internal/cache"
	"feint/internal/clearance"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/printed"
	"feint/internal/yield"
)

// YieldOptions say which prints are drawn.
type YieldOptions struct {
	Model   *printed.Model // nil: the unknown printer
	Use     printed.Use
	Apart   bool    // every part is printed by itself
	Count   int     // prints; 0: DefaultPrints, or DirectedPrints
	Seed    uint64  // of the prints
	Level   float64 // of the intervals; 0: 0.95
	Corners float64 // standard deviations off the mean at the corners; 0: 2
	Try     bool    // also try params for the change that wins most
	Tries   int     // how many values at most; 0: DefaultTries
	rough   bool    // a quick look at the prints alone: no corners, no scales
}

// step is by how much needs are rounded, mm.
func (y *YieldOptions) step() float64 {
	if y.rough {
		return roughly * yield.StepOf(y.Model)
	}
	return yield.StepOf(y.Model)
}

// finest is the width to which maps are sharpened, mm.
func (y *YieldOptions) finest() float64 {
	if y.rough {
		return 5 * y.step()
	}
	return 2.5 * y.step()
}

// learning is from how many prints a design is learnt.
func (y *YieldOptions) learning() int {
	if y.rough {
		return roughCount
	}
	return learningCount
}

// DefaultPrints is how many prints are drawn unless asked otherwise: the interval
// of a share near 95 % is then two percent wide. Where more than the hand moves parts it is
// DirectedPrints, since each print is followed by itself: four percent.
const (
	DefaultPrints  = 2000
	DirectedPrints = 500
	besidePrints   = 200 // of those beside a proof
)

func (y *YieldOptions) defaults(m *mechanism.Mechanism) {
	if y.Model == nil {
		y.Model = printed.Unknown()
	}
	if y.Count == 0 {
		y.Count = DefaultPrints
		if !m.HandsOnly() {
			y.Count = DirectedPrints
		}
	}
	if y.Level == 0 {
		y.Level = 0.95
	}
	if y.Corners == 0 {
		y.Corners = 2
	}
}

// YieldOutcome is what is foretold of the prints of a design.
type YieldOutcome struct {
	Mechanism *mechanism.Mechanism
	Options   YieldOptions
	Contacts  []yield.Contact // of the pairs that Report's causes name
	Report    yield.Report
	Corners   []yield.CornerFate
	Scales    yield.Scales
	Unscaled  string     // why Scales were not looked for, "" if they were
	Tries     []ParamTry // best first, if asked for
	Version   string     // of feint
	Asked     int        // questions put to the engine, the learning left out
}

// Yield foretells how many prints of the design at path will work. The same
// design, model and seed give the same outcome, whatever the cache holds.
func Yield(ctx context.Context, path string, o Options, y YieldOptions) (*YieldOutcome, error) {
	m, err := Load(path, o)
	if err != nil {
		return nil, err
	}
	y.defaults(m)
	bs, err := bodies(ctx, m, o)
	if err != nil {
		return nil, err
	}
	return yieldOf(ctx, path, m, bs, o, y)
}

// yieldOf does so for a design whose parts are built.
func yieldOf(ctx context.Context, path string, m *mechanism.Mechanism, bs []Body, o Options, y YieldOptions) (*YieldOutcome, error) {
	s, err := newStand(ctx, m, bs, o, y, nil)
	if err != nil {
		return nil, err
	}
	out := &YieldOutcome{Mechanism: m, Options: y, Contacts: s.in.Contacts, Version: o.Version}
	if err := s.judge(out, o); err != nil {
		return nil, err
	}
	if y.Try {
		if out.Tries, err = tryParams(ctx, path, s, o, y); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// stand is a design ready for its prints to be judged.
type stand struct {
	ctx      context.Context
	m        *mechanism.Mechanism
	bs       []Body
	prepared []*clearance.Body
	name     string // of what is kept: by all on which the learning depends
	like     *stand // the design that this one is a change of; nil: none
	maps     []*clearance.Map
	in       yield.Input
	bench    *yield.Bench
}

// ErrUnsound is what Yield answers for a design with a broken mesh.
var ErrUnsound = errors.New("a part has a broken mesh, so nothing can be foretold; see feint prove")

// newStand learns the needs of a design whose parts are built, or takes what was
// learnt of the same meshes and model before. like is a design that this one is a
// change of, so that what is not changed need not be learnt again.
//
// What is known at the start decides which prints stay undecided. So that it is
// the same with every cache, it is always the state after the prints of
// learningSeed on maps that knew nothing but what they took over from like, as read
// back from its bytes.
func newStand(ctx context.Context, m *mechanism.Mechanism, bs []Body, o Options, y YieldOptions, like *stand) (*stand, error) {
	for i := range bs {
		if !bs[i].Sound() {
			return nil, fmt.Errorf("part %q: %w", m.Parts[i].Name, ErrUnsound)
		}
	}
	plays := playsOf(m, bs, o)
	s := &stand{ctx: ctx, m: m, bs: bs, like: like}
	s.name = s.key(bs, plays, y)
	var err error
	if s.prepared, err = prepare(ctx, bs, o); err != nil {
		return nil, err
	}
	raw, ok := o.Cache.Get(s.kept())
	if ok {
		if err = s.open(raw, plays, y, o); err == nil {
			return s, nil
		}
	}
	if raw, err = s.learn(plays, y, o); err != nil {
		return nil, err
	}
	_ = o.Cache.Put(s.kept(), raw) // a cache that cannot be written costs time, not correctness
	return s, s.open(raw, plays, y, o)
}

// kept names what was learnt.
func (s *stand) kept() string {
	if s.like == nil {
		return s.name
	}
	return cache.Key(s.name, s.like.name)
}

// yieldVersion changes whenever the same design may be learnt otherwise.
const yieldVersion = "yield 11"

func (s *stand) key(bs []Body, plays []motion.PlayOf, y YieldOptions) string {
	parts := []string{yieldVersion, fmt.Sprint(clearance.Version, s.m.Start, s.m.Goal.Bounds, plays, y.Use, y.Apart, y.Corners, y.rough), fmt.Sprintf("%+v", *y.Model)}
	for _, st := range s.m.Steps {
		parts = append(parts, fmt.Sprint(st.Bounds))
	}
	for i := range bs {
		p := &s.m.Parts[i]
		parts = append(parts, bs[i].Hash, fmt.Sprint(p.Print, p.Material))
	}
	for a := range s.m.Parts {
		for b := a + 1; b < len(s.m.Parts); b++ {
			parts = append(parts, clearance.Key(s.m, a, b))
		}
	}
	parts = append(parts, fmt.Sprint(s.m.PressFits))
	if !s.m.HandsOnly() { // where everything comes to hangs on all that is said of it
		parts = append(parts, s.m.SHA256)
	}
	return cache.Key(parts...)
}

// playsOf is the play of the parts as motion takes it.
func playsOf(m *mechanism.Mechanism, bs []Body, o Options) []motion.PlayOf {
	return playOf(measurePlay(m, bs, recall(m, bs, o), o))
}

// The prints from which a design is learnt.
const (
	learningSeed  = 1
	learningCount = 250
	roughCount    = 60 // of a quick look
	roughly       = 2  // so many times as coarse is it
)

// snapshot is a learnt design as it is kept.
type snapshot struct {
	Maps     [][]byte
	Learnt   yield.Learnt
	Contacts []yield.Contact
}

// learn looks at fresh maps with the prints of learningSeed.
func (s *stand) learn(plays []motion.PlayOf, y YieldOptions, o Options) ([]byte, error) {
	var maps []*clearance.Map
	for a := range s.m.Parts {
		for b := a + 1; b < len(s.m.Parts); b++ {
			c, err := s.fresh(a, b, len(maps))
			if err != nil {
				return nil, fmt.Errorf("%s and %s: %w", s.m.Parts[a].Name, s.m.Parts[b].Name, err)
			}
			maps = append(maps, c)
		}
	}
	j, err := s.newJudge(maps, plays, y, o)
	if err != nil {
		return nil, err
	}
	poses, err := s.poses(maps, j, o)
	if err != nil {
		return nil, err
	}
	trees := make([]*mesh.Tree, len(s.bs))
	for i := range s.bs {
		trees[i] = s.bs[i].Tree()
	}
	in := s.input(j, yield.Contacts(s.m, trees, poses, j.Pairs()), y)
	in.Seed, in.Count = learningSeed, y.learning()
	b, err := yield.NewBench(s.ctx, in, yield.Learnt{})
	if err != nil {
		return nil, err
	}
	if !y.rough {
		if _, err := b.Corners(y.Corners); err != nil {
			return nil, err
		}
		if _, err := b.Scales(); err != nil {
			return nil, err
		}
	}
	if _, err := b.Prints(func(done, total int) { o.progress("learning what the prints need", done, total) }); err != nil {
		return nil, err
	}
	snap := snapshot{Learnt: b.Learnt(), Contacts: in.Contacts}
	for _, c := range maps {
		var buf bytes.Buffer
		if err := c.Save(&buf); err != nil {
			return nil, err
		}
		snap.Maps = append(snap.Maps, buf.Bytes())
	}
	var buf bytes.Buffer
	err = gob.NewEncoder(&buf).Encode(&snap)
	return buf.Bytes(), err
}

// open makes the bench from a snapshot.
func (s *stand) open(raw []byte, plays []motion.PlayOf, y YieldOptions, o Options) error {
	var snap snapshot
	if err := gob.NewDecoder(bytes.NewReader(raw)).Decode(&snap); err != nil {
		return err
	}
	maps, err := s.load(&snap)
	if err != nil {
		return err
	}
	j, err := s.newJudge(maps, plays, y, o)
	if err != nil {
		return err
	}
	s.maps = maps
	s.in = s.input(j, snap.Contacts, y)
	s.in.Frozen = true
	if !s.m.HandsOnly() {
		own, err := s.load(&snap) // it asks them for more, and s.maps are as they were learnt
		if err != nil {
			return err
		}
		if s.in.Directed, err = s.directedPrints(own, maps, j.Deepest(), o); err != nil {
			return err
		}
	}
	s.bench, err = yield.NewBench(s.ctx, s.in, snap.Learnt)
	return err
}

// load reads the maps of a snapshot.
func (s *stand) load(snap *snapshot) (maps []*clearance.Map, err error) {
	for a := range s.m.Parts {
		for b := a + 1; b < len(s.m.Parts); b++ {
			if len(maps) >= len(snap.Maps) {
				return nil, errors.New("a map is missing")
			}
			c, err := clearance.Load(bytes.NewReader(snap.Maps[len(maps)]), s.m, a, b, s.prepared[a], s.prepared[b])
			if err != nil {
				return nil, err
			}
			maps = append(maps, c)
		}
	}
	return maps, nil
}

// judgeGrowth is the span of growths at which the maps are first looked at, mm:
// that of printers in use.
func judgeGrowth() [2]float64 { return [2]float64{-0.1, 0.15} }

// depthStep is to how much overlaps are rounded before what is free in spite of them is
// looked for, which is dear, mm; a quick look asks about them as they are.
func (y *YieldOptions) depthStep() float64 {
	if y.rough {
		return 0
	}
	return 0.04
}

// The units of travels that enter a difference, mm and radians. They are twice those of
// a proof and are not halved: of prints whose fate is near a limit a finer unit decides
// one in a hundred more, and costs ten times as much.
const (
	liftSlide = 0.04
	liftTurn  = math.Pi / 360
)

// lift is how coarse they are.
func (y *YieldOptions) lift() float64 {
	if y.rough {
		return roughly
	}
	return 1
}

func (s *stand) newJudge(maps []*clearance.Map, plays []motion.PlayOf, y YieldOptions, o Options) (*motion.Judge, error) {
	pms := make([]motion.PairMap, len(maps))
	for i := range maps {
		pms[i] = maps[i]
	}
	lay := motion.NewJudge
	if !s.m.HandsOnly() {
		lay = motion.NewBound
	}
	j, err := lay(s.ctx, s.m, pms, motion.Options{
		Growth: judgeGrowth(), FinestWidth: max(0.01, y.finest()), FinestDepth: max(0.02, 10*y.step()), DepthStep: y.depthStep(), Play: plays, Progress: o.progress,
		LiftSlide: y.lift() * liftSlide, LiftTurn: y.lift() * liftTurn, LiftHalves: -1,
	})
	if err != nil {
		return nil, fmt.Errorf("yield: %w", err)
	}
	return j, nil
}

// poses are where the faces that meet are looked for: the start and along a way
// as drawn, every stroke at its ends and middle.
func (s *stand) poses(maps []*clearance.Map, j *motion.Judge, o Options) ([][]float64, error) {
	if !s.m.HandsOnly() {
		p, err := s.directedPrints(maps, nil, j.Deepest(), o)
		if err != nil {
			return nil, err
		}
		return p.stands(j.Even(0))
	}
	at := append([]float64(nil), s.m.Start...)
	out := [][]float64{append([]float64(nil), at...)}
	needs := j.Even(0)
	for {
		yes, err := j.Way(needs, -1)
		if err != nil {
			return nil, err
		}
		if yes {
			break
		}
		if no, err := j.NoWay(needs, -1); err != nil || no {
			return out, err
		}
		if more, err := j.Sharpen(needs, -1); err != nil || !more {
			return out, err
		}
	}
	w := j.Shortest()
	if w == nil {
		return out, nil
	}
	for _, mv := range w.Moves {
		for _, k := range mv.Strokes {
			for _, f := range []float64{0.5, 1} {
				at[k.Travel] = k.From + f*(k.To-k.From)
				out = append(out, append([]float64(nil), at...))
			}
		}
	}
	return out, nil
}

func (s *stand) input(j *motion.Judge, contacts []yield.Contact, y YieldOptions) yield.Input {
	return yield.Input{
		Contacts: contacts, Base: j.Even(0),
		Parts: len(s.m.Parts), Steps: len(s.m.Steps),
		Oracle: func(q int) yield.Oracle { return presentOnly(s.m, j, yield.OracleOf(j, q)) },
		Play:   j.WithPlay, Deepest: j.Deepest(),
		Model: y.Model, Use: y.Use, Apart: y.Apart, Seed: y.Seed, Count: y.Count, Level: y.Level, Step: y.step(),
	}
}

// judge judges the prints, the corners and the scales, unless they were judged before.
func (s *stand) judge(out *YieldOutcome, o Options) error {
	if s.m.HandsOnly() { // which takes less than to keep it
		return s.judgeAnew(out, o)
	}
	y := &out.Options
	name := cache.Key(judgedVersion, s.kept(), fmt.Sprint(y.Seed, y.Count, y.Level))
	if raw, ok := o.Cache.Get(name); ok && out.recall(raw) == nil {
		return nil
	}
	if err := s.judgeAnew(out, o); err != nil {
		return err
	}
	raw, err := out.kept()
	if err == nil {
		_ = o.Cache.Put(name, raw) // a cache that cannot be written costs time, not correctness
	}
	return err
}

func (s *stand) judgeAnew(out *YieldOutcome, o Options) error {
	prints, err := s.bench.Prints(func(done, total int) { o.progress("prints", done, total) })
	if err != nil {
		return err
	}
	out.Report, out.Asked = s.bench.Report(prints), s.bench.Asked()
	if out.Options.rough {
		return nil
	}
	if out.Corners, err = s.bench.Corners(out.Options.Corners); err != nil {
		return err
	}
	if out.Unscaled = unscaled(s.m); out.Unscaled == "" {
		if out.Scales, err = s.bench.Scales(); err != nil {
			return err
		}
	}
	out.Asked = s.bench.Asked()
	return nil
}
