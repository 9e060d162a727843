package hands

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"feint/internal/diagram"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Situation is where everything stands: the value of every travel, which of the
// attitudes is up, and in which of its seats every tool is.
type Situation struct {
	Config []float64 // mm or radians
	Up     int       // of Mechanism.Ups
	Tools  []int     // by tool
}

// clone is a copy that may be changed.
func (s Situation) clone() Situation {
	return Situation{Config: slices.Clone(s.Config), Up: s.Up, Tools: slices.Clone(s.Tools)}
}

// Came is what came of something that a person did.
type Came struct {
	To Situation
	// Frames are the situations on the way, To the last; from one to the next
	// everything that moves does so evenly.
	Frames  []Situation
	Effects []Effect // what the hand did not move itself
	// Stopped tells that the hand was stopped short of what it wanted: by part By,
	// or, if By is -1, by the limit of the travel.
	Stopped bool
	By      int
	Yields  bool // By would give way, but jams or is held itself
}

// ErrAdrift says that a situation is none in which everything is free and at rest
// under the strict reading.
var ErrAdrift = errors.New("parts would overlap there, or not stay where they are")

// Try is a box in somebody's hands: it answers what becomes of a situation when
// the hand moves a part, the box is turned, or a tool goes elsewhere, under the
// strict reading of the law at one growth. What it does is a move that Solve
// counts with, and what it lets nobody do is at most a unit of the lattice, and the
// doubt of the maps, from what the drawing forbids.
//
// Its methods may be called by several goroutines; they take turns.
type Try struct {
	mu     sync.Mutex
	s      *solver
	b      *Board
	growth float64
	start  Situation

	charted  bool
	reach    diagram.Set   // at rest, from the start
	distance []diagram.Set // of reach, by the fewest moves to the goal
}

// NewTry lays a case out. ctx must hold for as long as the Try is used.
func NewTry(ctx context.Context, c *Case, growth float64, o Options) (*Try, error) {
	s := &solver{ctx: ctx, c: c, opt: o.withDefaults()}
	s.r = &Result{Ups: c.Mechanism.Ups()}
	if err := s.lay(); err != nil {
		return nil, err
	}
	if err := s.refine(growth, firstWidth); err != nil {
		return nil, err
	}
	t := &Try{s: s, growth: growth}
	t.b = s.boards(law{growth: growth, avoid: -1})[strict]
	if err := t.begin(); err != nil {
		return nil, err
	}
	return t, s.b.trouble()
}

// begin lets everything come to rest at the start.
func (t *Try) begin() error {
	b := t.s.b
	home := Situation{Config: slices.Clone(b.m.Start), Tools: make([]int, len(b.m.Tools))}
	p, ok := b.sp.Pick(t.b.Settle(b.start()), t.units(home))
	if err := b.trouble(); err != nil {
		return err
	}
	if !ok {
		return fmt.Errorf("hands: at the start %w", ErrAdrift)
	}
	t.start = t.placed(home, p)
	return nil
}

// Start is where everything has come to rest before anybody moves.
func (t *Try) Start() Situation { return t.start.clone() }

// Near lists the attitudes to which one turn leads from up.
func (t *Try) Near(up int) []int { return slices.Clone(t.s.b.near[up]) }

// Unit is the width of a unit of a travel, mm or radians.
func (t *Try) Unit(travel int) float64 { return t.s.b.lat.Unit(travel) }

// check tells what is wrong with a situation.
func (t *Try) check(s *Situation) error {
	m := t.s.b.m
	if len(s.Config) != len(m.Travels) || len(s.Tools) != len(m.Tools) {
		return fmt.Errorf("hands: %d values and %d tools for %d travels and %d tools", len(s.Config), len(s.Tools), len(m.Travels), len(m.Tools))
	}
	if s.Up < 0 || s.Up >= len(t.s.b.ups) {
		return fmt.Errorf("hands: there is no attitude %d", s.Up)
	}
	for i, k := range s.Tools {
		if k < 0 || k >= len(m.Tools[i].Seats) {
			return fmt.Errorf("hands: tool %q has no seat %d", m.Tools[i].Name, k)
		}
	}
	for i, v := range s.Config {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("hands: travel %q cannot stand at %g", m.Travels[i].Name, v)
		}
	}
	return nil
}

// units is the units that a situation lies in.
func (t *Try) units(s Situation) []int32 {
	b := t.s.b
	p := make([]int32, len(b.sp.Levels()))
	for i, v := range s.Config {
		p[b.lat.Level(i)] = b.unitOf(i, v)
	}
	p[b.attitude()] = int32(s.Up)
	for i, k := range s.Tools {
		p[b.tool(i)] = int32(k)
	}
	return p
}

// unitOf is the unit of travel t that holds v, the nearest if none does.
func (b *bench) unitOf(t int, v float64) int32 {
	tr, n := &b.m.Travels[t], b.lat.Units(t)
	w := b.lat.Unit(t)
	if w <= 0 {
		return 0
	}
	u := int64(math.Floor((v - tr.Lo) / w))
	if tr.Full {
		return int32(((u % int64(n)) + int64(n)) % int64(n))
	}
	return int32(min(max(u, 0), int64(n)-1))
}

// at gives the units of a situation if everything is free there, or else, where a
// value lies on the border of a unit, those beside it.
func (t *Try) at(s *Situation) ([]int32, error) {
	if err := t.check(s); err != nil {
		return nil, err
	}
	p, b := t.units(*s), t.s.b
	if b.sp.Contains(t.b.free, p) {
		return p, nil
	}
	x := b.sp.And(t.b.free, b.sp.Runs(b.attitude(), diagram.Run{Lo: int32(s.Up), Hi: int32(s.Up) + 1}))
	for i := range s.Tools {
		x = b.sp.And(x, b.seated(i, s.Tools[i]))
	}
	for i, v := range s.Config {
		x = b.sp.And(x, b.lat.Touching(mechanism.Bound{Travel: i, Lo: v, Hi: v}))
	}
	if q, ok := b.sp.Pick(x, p); ok {
		return q, nil
	}
	return nil, ErrAdrift
}

// placed is s brought to the units p: a travel whose unit is the same keeps its value.
func (t *Try) placed(s Situation, p []int32) Situation {
	b := t.s.b
	out := s.clone()
	for i, v := range s.Config {
		if u := p[b.lat.Level(i)]; b.unitOf(i, v) != u {
			out.Config[i] = b.value(i, u)
		}
	}
	out.Up = int(p[b.attitude()])
	for i := range out.Tools {
		out.Tools[i] = int(p[b.tool(i)])
	}
	return out
}

// Settle is where everything comes to rest from a situation if nobody holds it.
func (t *Try) Settle(s Situation) (Came, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	p, err := t.at(&s)
	if err != nil {
		return Came{}, err
	}
	return t.came(s, p, t.b.Settle(t.s.b.sp.Point(p)), 0)
}

// came picks of ends what is nearest to p.
func (t *Try) came(s Situation, p []int32, ends diagram.Set, own diagram.Levels) (Came, error) {
	q, ok := t.s.b.sp.Pick(ends, p)
	if err := t.s.b.trouble(); err != nil {
		return Came{}, err
	}
	if !ok {
		return Came{}, ErrAdrift
	}
	to := t.placed(s, q)
	return Came{To: to, Frames: []Situation{to}, Effects: t.effects(s, to, q, own), By: -1}, nil
}

// effects lists what moved from one situation to another but the levels own.
func (t *Try) effects(from, to Situation, at []int32, own diagram.Levels) []Effect {
	b := t.s.b
	k := &teller{s: t.s, b: t.b, unit: t.units(from)}
	var out []Effect
	for i := range b.m.Travels {
		l := b.lat.Level(i)
		if own&diagram.LevelsOf(l) == 0 && at[l] != k.unit[l] {
			out = append(out, Effect{Travel: i, From: from.Config[i], To: to.Config[i], Cause: k.cause(i, at, to.Config[i] > from.Config[i])})
		}
	}
	return out
}

// Turn turns the box to an attitude beside that of the situation; what is free to
// fall does.
func (t *Try) Turn(s Situation, up int) (Came, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	p, err := t.at(&s)
	if err != nil {
		return Came{}, err
	}
	b := t.s.b
	if !slices.Contains(b.near[s.Up], up) {
		return Came{}, fmt.Errorf("hands: one turn does not lead from attitude %d to %d", s.Up, up)
	}
	first := s.clone()
	first.Up = up
	q := slices.Clone(p)
	q[b.attitude()] = int32(up)
	out, err := t.came(first, q, b.sp.And(t.b.turn(b.sp.Point(p)), b.attitudeIs(up)), 0)
	if err != nil {
		return out, err
	}
	if len(out.Effects) > 0 {
		out.Frames = append([]Situation{first}, out.Frames...)
	}
	return out, nil
}

func (b *bench) attitudeIs(up int) diagram.Set {
	return b.sp.Runs(b.attitude(), diagram.Run{Lo: int32(up), Hi: int32(up) + 1})
}

// Take takes a tool out of its seat and puts it into another. It is ErrAdrift where
// it does not come out or does not go in.
func (t *Try) Take(s Situation, tool, seat int) (Came, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	p, err := t.at(&s)
	if err != nil {
		return Came{}, err
	}
	b := t.s.b
	if tool < 0 || tool >= len(t.b.Swaps) || seat < 0 || seat >= len(b.m.Tools[tool].Seats) {
		return Came{}, fmt.Errorf("hands: there is no tool %d with a seat %d", tool, seat)
	}
	sw := &t.b.Swaps[tool]
	return t.came(s, p, b.sp.And(t.b.swap(sw, b.sp.Point(p)), b.seated(tool, seat)), sw.Levels)
}

// Up is the attitude as a direction of the drawing.
func (t *Try) Up(i int) geom.Vec { return t.s.b.ups[i] }

// Goal tells whether the goal is met.
func (t *Try) Goal(s Situation) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	p, err := t.at(&s)
	return err == nil && t.s.b.sp.Contains(t.s.goal(strict), p)
}
