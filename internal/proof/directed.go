package proof

import (
	"context"
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// DeedKind is what a move of a directed way does.
type DeedKind uint8

// The kinds of deed.
const (
	LeadPart  DeedKind = iota // the hand leads a part
	TurnBox                   // the box is turned
	CarryTool                 // a tool is taken out and put in elsewhere
)

// Deed is one move of a directed way, as it was told. Of what it brings about only
// Told, the values of all travels after it, is compared; everything else that moves
// the checker finds out itself.
type Deed struct {
	Kind     DeedKind
	Strokes  []Stroke // LeadPart
	Up       geom.Vec // TurnBox: which way of the box is up afterwards
	From, To int      // CarryTool: the parts of the seats
	Told     []float64
}

// Directed is a directed way, from the start of the design on.
type Directed struct {
	Growth float64
	// Needs is the clearance that two parts need, mm, where surfaces do not all stand proud
	// alike; nil: what they need at Growth (mechanism.Needs).
	Needs func(a, b int) float64
	Up    geom.Vec // at the start
	Start []float64
	Deeds []Deed
	// Near is by travel how far a value told may be off what the meshes say, mm or
	// radians: what the lattice of the search rounds by.
	Near []float64
	// Avoid is what the way must nowhere enter; nil for nothing.
	Avoid *mechanism.Region
	// Elsewhere is that the way is not said to end in the goal.
	Elsewhere bool
	// Keeps tells of two parts that may overlap, by somebody else's bounds, that they surely
	// keep what they need all along a run of one travel, the others standing at q: how deep
	// they overlap need then not be looked at. nil: that is for this package alone to show.
	Keeps func(a, b, travel int, lo, hi float64, q []float64) bool
	// Most is how much may be looked at before it is ErrOpen that this takes too long, counted
	// as for mostWork; 0 for that.
	Most int
}

// Carried tells whether weight, springs and magnets surely carry a travel on, forwards
// or backwards, in a configuration and with a way of the box up. What only may be
// carried stays.
type Carried func(travel int, q []float64, up geom.Vec) (forwards, backwards bool)

// DirectedReport tells what was shown of a directed way.
type DirectedReport struct {
	Deeds  int // shown
	Runs   int // continuous runs of one travel that were looked at
	Pushed int // runs of parts that were pushed
	Fallen int // runs of parts that fell or sprang
	// At, Up and Seats are the situation at its end, Seats by tool.
	At    []float64
	Up    geom.Vec
	Seats []int
	// Stands is by deed shown what all travels stand at: after each stroke, while the hand
	// still holds, and after it.
	Stands [][][]float64
	// Met are the pairs, the lower part first, that anywhere did not keep clear, so that
	// what was shown hangs on what they need: of all others it would be as it was, had they
	// needed less.
	Met map[[2]int]bool
}

// Lengths of a replay, mm; turns and helices count by the point that goes farthest.
const (
	// stride is how far a pusher, or what others lean on, goes at a time. What is pushed
	// is never farther ahead of its pusher, and what follows never farther behind, than
	// steep strides and touch. A third of the least gap in common use.
	stride = 0.05
	// touch is how near to each other what touches is brought.
	touch = 0.004
	// room is how far a part that is at rest may still have to go.
	room = 0.02
	// steep is how much farther than its pusher a part may have to go to make way. Beyond
	// it a friction of 0.5 jams a wedge: its angle of friction is 26.6 degrees, the rest of
	// the right angle 63.4, whose tangent is 2 (closed form; the 0.5 is the usual upper
	// value of dry plastic, common practice).
	steep = 2.0
	// short is how far before its end a stroke may stop that pushes something against what
	// does not yield: each of the parts between stands off the next by up to touch.
	short = 0.03
	// mostChain is how many parts may push each other on at once.
	mostChain = 3
	// mostWork bounds the intervals looked at for one way, and the pieces of surfaces four to
	// one; mostSifts bounds the intervals for one run of a pair.
	mostWork  = 100_000
	mostSifts = 4096
)

// Led checks a directed way: that the box as its meshes have it, led as told, does what
// is told.
//
// The law. A situation is a configuration, an attitude of the box and a seat for every
// tool. Only this may move:
//
//   - the travel of the hand, along its stroke, to its end, or to within short of it where
//     what it pushes is stopped;
//   - what is pushed: a travel of which the design does not say that only the hand moves
//     it, standing in the way of what moves, and going the one way that makes room, by no
//     more than that takes (within touch), and by no more than steep times what pushes it;
//   - what is carried: a travel that carried says surely runs on, as far as it runs and
//     nothing stops it (within room), before the hand goes on by another stride. It pushes
//     nothing; of several that run at once the order is not said;
//   - the box, from one attitude to a neighbour (no third lies between), and a tool, from
//     a seat in which it stands within the bounds told for taking it out to another.
//
// What is shown. At every moment all parts keep the clearance that they need at the growth
// (mechanism.Needs, or Directed.Needs), all along every run, as in Walk; what stops a run is named by meshes
// that overlap just beyond, or is the limit of the travel; after every deed every travel is
// within Near of what was told; the way keeps out of Avoid; and the last situation is in
// the goal. So there is a motion of the box that keeps to the law along these deeds.
//
// Why the runs, one travel after the other, stand for parts that move together: within one
// stride a pushed part goes first, by what the stride takes, and its pusher after it. What
// touches all the time instead goes through configurations (v, w) of pusher and pushed
// part between those two runs. Any third part meets each alone, so along the runs looked
// at. Of the two, the pushed part stands where it just clears the pusher, by the law, and
// it comes to w and no further because beyond contact lies what was looked at. A longer
// step is taken only where all slide along one line, so that they stand to each other as
// they did, and nothing else moves meanwhile. Nothing is said of speed: the hand is slow.
//
// An error is ErrRefused where the box does otherwise, ErrOpen where that could not be
// told, or that of ctx. trees[i] is the mesh of part i as drawn.
func Led(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, carried Carried, d *Directed) (*DirectedReport, error) {
	r := &replay{
		ctx: ctx, m: m, d: d, carriedBy: carried, report: &DirectedReport{Met: map[[2]int]bool{}}, rate: map[pushing]float64{},
		w: &walk{m: m, trees: trees, growth: d.Growth, needs: d.Needs, keeps: d.Keeps, cache: newCache(trees), most: mostSifts},
	}
	err := r.begin()
	for i := 0; err == nil && i < len(d.Deeds); i++ {
		r.report.Stands = append(r.report.Stands, nil)
		if err = r.deed(&d.Deeds[i]); err != nil {
			err = fmt.Errorf("move %d: %w", i+1, err)
			break
		}
		r.noted()
		r.report.Deeds++
	}
	if err == nil && !d.Elsewhere {
		err = r.end()
	}
	r.report.At, r.report.Up, r.report.Seats = append([]float64(nil), r.q...), r.up, append([]int(nil), r.seat...)
	return r.report, err
}

// replay is a way under check.
type replay struct {
	ctx       context.Context
	m         *mechanism.Mechanism
	w         *walk
	d         *Directed
	carriedBy Carried
	report    *DirectedReport

	q    []float64
	up   geom.Vec
	seat []int        // by tool
	away map[int]bool // parts of seats whose tool is elsewhere
	wide []float64    // by travel: mm by unit of its value, at most
	// doubt is that the law leaves it open what comes of a move: two parts ran at once, in
	// an order that is not said, or a spring was stopped by something that it might push.
	doubt bool
	work  int
	rate  map[pushing]float64 // how far was pushed for a unit of the pusher, last: where to look first
}

// begin brings everything to rest at the start.
func (r *replay) begin() error {
	m := r.m
	if len(r.w.trees) != len(m.Parts) || len(m.Start) != len(m.Travels) || len(r.d.Start) != len(m.Travels) || len(r.d.Near) != len(m.Travels) {
		return fmt.Errorf("%w: the way does not speak of the design's %d travels", ErrRefused, len(m.Travels))
	}
	r.q = append([]float64(nil), m.Start...)
	r.up = r.d.Up
	if !near(r.up, m.Ups()[0]) {
		return fmt.Errorf("%w: at the start another side of the box is up", ErrRefused)
	}
	r.seat, r.away = make([]int, len(m.Tools)), map[int]bool{}
	for i := range m.Tools {
		for _, s := range m.Tools[i].Seats[1:] {
			r.away[s.Part] = true
		}
	}
	r.measure()
	if err := r.stands(-1); err != nil {
		return err
	}
	if err := r.settle(nil); err != nil {
		return err
	}
	return r.told(r.d.Start)
}

// noted notes where everything stands.
func (r *replay) noted() {
	last := len(r.report.Stands) - 1
	r.report.Stands[last] = append(r.report.Stands[last], append([]float64(nil), r.q...))
}

// near tells whether two unit vectors are one.
func near(a, b geom.Vec) bool {
	return math.Abs(a.X-b.X)+math.Abs(a.Y-b.Y)+math.Abs(a.Z-b.Z) < 1e-6
}

// measure finds how far a unit of each travel takes a point at most: for the size of
// steps only.
func (r *replay) measure() {
	r.wide = make([]float64, len(r.m.Travels))
	for t := range r.m.Travels {
		tr := &r.m.Travels[t]
		r.wide[t] = 1
		if tr.Kind == mechanism.Slide {
			continue
		}
		far := 0.0
		for p := range r.m.Parts {
			if !r.w.carried(p, t) {
				continue
			}
			inner, _ := r.w.frames(&task{a: p, b: p, travel: t, q: r.q})
			if b := r.w.cache.body(p, inner.Then(upright(tr.Axis)), false); len(b.nodes) > 0 {
				far = max(far, b.nodes[0].r.hi)
			}
		}
		r.wide[t] = max(1e-3, math.Hypot(far, tr.Lead/(2*math.Pi)))
	}
}

// told compares what stands with what was told.
func (r *replay) told(q []float64) error {
	if len(q) != len(r.q) {
		return fmt.Errorf("%w: %d values told for %d travels", ErrRefused, len(q), len(r.q))
	}
	for t := range q {
		tr := &r.m.Travels[t]
		if r.away[tr.Part] {
			continue
		}
		d := q[t] - r.q[t]
		if tr.Full {
			d = wrap(d)
		}
		if !(math.Abs(d) <= r.d.Near[t]) {
			kind := ErrRefused
			if r.doubt {
				kind = ErrOpen
			}
			return fmt.Errorf("%w: travel %q of %q is told to stand at %.6g, on the meshes it comes to %.6g", kind,
				tr.Name, r.m.Parts[tr.Part].Name, q[t], r.q[t])
		}
	}
	return nil
}

// end looks whether the goal is met.
func (r *replay) end() error {
	for _, b := range r.m.Goal.Bounds {
		tr := &r.m.Travels[b.Travel]
		if r.away[tr.Part] || !holds(tr, b, r.q[b.Travel]) {
			return fmt.Errorf("%w: the way ends with travel %q at %.6g, outside the goal (%g to %g)", ErrRefused, tr.Name, r.q[b.Travel], b.Lo, b.Hi)
		}
	}
	return nil
}

// avoids tells whether runs of travels from where everything stands to the values given,
// together or one after the other, keep out of what is to be avoided.
func (r *replay) avoids(to map[int]float64) error {
	if r.d.Avoid == nil {
		return nil
	}
	for _, b := range r.d.Avoid.Bounds {
		tr := &r.m.Travels[b.Travel]
		if r.away[tr.Part] {
			return nil
		}
		lo, hi := r.q[b.Travel], r.q[b.Travel]
		if v, ok := to[b.Travel]; ok {
			lo, hi = min(lo, v), max(hi, v)
		}
		if !crosses(tr, b, lo, hi) {
			return nil
		}
	}
	return fmt.Errorf("%w: the way enters what it is said to avoid", ErrRefused)
}

// crosses tells whether a value from lo to hi is surely or perhaps within the bound, its
// very border left out.
func crosses(tr *mechanism.Travel, b mechanism.Bound, lo, hi float64) bool {
	if !tr.Full {
		return hi > b.Lo+valueError && lo < b.Hi-valueError || b.Lo == b.Hi && lo <= b.Lo && hi >= b.Hi
	}
	if hi-lo >= 2*math.Pi || math.IsInf(b.Lo, 0) || math.IsInf(b.Hi, 0) {
		return true
	}
	const n = 64 // the bound's own ends lie within, or one of the run's within it
	for i := range n + 1 {
		if holds(tr, b, lo+(hi-lo)*float64(i)/n) {
			return true
		}
	}
	whole := func(x float64) float64 { return x - 2*math.Pi*math.Floor(x/(2*math.Pi)) }
	return whole(b.Lo-lo) < hi-lo || whole(b.Hi-lo) < hi-lo
}
