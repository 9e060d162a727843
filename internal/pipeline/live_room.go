package pipeline

import (
	"context"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// liveTouch is the room below which parts count as touching, mm: a fifth of the
	// 0.01 mm to which clearances are told.
	liveTouch = 0.002
	// liveError is by how much a clearance may fall short of what is needed without
	// counting as an overlap, mm: five times the width of the bounds of an exact
	// clearance (clearance.Map.At).
	liveError = 1e-5
	// liveFar is how far ahead distances are measured, mm.
	liveFar = 25.0
)

// Effort bounds the work of one question: so many distances are measured at the
// most. What is not known by then is told as such.
type Effort int

// DefaultEffort answers within some hundredths of a second for parts of some
// thousand triangles.
const DefaultEffort Effort = 1500

// Stop tells what ends a stroke.
type Stop struct {
	Value float64 // how far the travel comes, mm or radians
	By    int     // the part that it meets; -1 if none
	Of    int     // the part that meets it: the part moved or one that it carries; -1 if none
	Limit bool    // the travel's own limit, or the value asked for
	Open  bool    // the effort ended first: it may go further
}

// Room is how far a travel can go both ways from a configuration while all else
// rests.
type Room struct {
	Travel int
	Lo, Hi Stop
	Turns  bool // a full turn that nothing stops
}

// Room tells how far travel t can go both ways from q when every printed surface
// stands proud by growth, mm.
//
// A part advances by the distance still free, divided by the speed of its fastest
// point that can meet the other (conservative advancement; B. Mirtich,
// Impulse-based Dynamic Simulation, 1996, section 2.3), or to the end of a cell of
// the clearance map that is surely clear; so no contact is jumped over but for
// liveTouch/2 where the parts touch all along.
func (l *Live) Room(ctx context.Context, q []float64, t int, growth float64, effort Effort) (Room, error) {
	r := Room{Travel: t}
	k := &l.Mechanism.Travels[t]
	lo, hi := k.Lo, k.Hi
	if k.Full {
		lo, hi = q[t]-2*math.Pi, q[t]+2*math.Pi
	}
	var err error
	back := effort / 2 // so that something is left for the other way
	forth := effort - back
	if r.Lo, err = l.stroke(ctx, q, t, lo, growth, &back); err != nil {
		return r, err
	}
	forth += max(0, back)
	if r.Hi, err = l.stroke(ctx, q, t, hi, growth, &forth); err != nil {
		return r, err
	}
	r.Turns = k.Full && r.Lo.Limit && r.Hi.Limit
	return r, nil
}

// laps are how far all pairs go before any goes further, shares of a stroke: what one
// pair stops soon need not be followed to the end by the others.
var laps = [...]float64{1. / 64, 1. / 16, 1. / 4, 1} //nolint:gochecknoglobals // a table

// stroke moves travel t from q towards to and tells what ends it.
func (l *Live) stroke(ctx context.Context, q []float64, t int, to, growth float64, effort *Effort) (Stop, error) {
	s := Stop{Value: to, By: -1, Of: -1, Limit: true}
	gs, err := l.glides(ctx, q, t, growth)
	if err != nil {
		return s, err
	}
	for _, share := range laps {
		lap := q[t] + share*(to-q[t])
		if share == 1 {
			lap = to
		}
		for _, g := range gs {
			end, err := g.advance(ctx, nearer(q[t], lap, s.Value), effort)
			if err != nil {
				return s, err
			}
			switch end {
			case met:
				s = Stop{Value: g.at, By: g.b, Of: g.a}
			case tired:
				s = Stop{Value: g.at, By: -1, Of: -1, Open: true}
			case arrived:
			}
		}
		if nearer(q[t], lap, s.Value) == s.Value {
			break // all have come as far as that
		}
	}
	return s, nil
}

// nearer is the one of two values that is nearer to from.
func nearer(from, a, b float64) float64 {
	if math.Abs(b-from) <= math.Abs(a-from) {
		return b
	}
	return a
}

// glides are the pairs of which one part moves with travel t and the other does not.
func (l *Live) glides(ctx context.Context, q []float64, t int, growth float64) ([]*glide, error) {
	var out []*glide
	for a := range l.Mechanism.Parts {
		if !l.carried(a, t) {
			continue
		}
		for b := range l.Mechanism.Parts {
			if l.carried(b, t) {
				continue
			}
			p, err := l.pair(ctx, a, b)
			if err != nil {
				return nil, err
			}
			if p != nil {
				out = append(out, l.glide(p, a, b, t, q, growth))
			}
		}
	}
	return out, nil
}

// carried tells whether part p moves with travel t.
func (l *Live) carried(p, t int) bool {
	for ; p >= 0; p = l.Mechanism.Parts[p].Carrier {
		if p == l.Mechanism.Travels[t].Part {
			return true
		}
	}
	return false
}

// glide is one pair of parts while one travel moves: a is carried, b is not.
type glide struct {
	l     *Live
	p     *livePair
	a, b  int
	t     int
	q     []float64 // a copy
	from  float64   // where it began
	at    float64   // the last value at which the pair is known to have the clearance that it needs
	need  float64   // clearance needed, mm
	speed float64   // of the fastest point that can meet the other part, mm per mm or radian
}

func (l *Live) glide(p *livePair, a, b, t int, q []float64, growth float64) *glide {
	g := &glide{l: l, p: p, a: a, b: b, t: t, q: append([]float64(nil), q...), from: q[t], at: q[t], need: l.Mechanism.Needs(a, b, growth), speed: 1}
	k := &l.Mechanism.Travels[t]
	if k.Kind == mechanism.Slide {
		return g
	}
	carrier := l.Mechanism.Pose(l.Mechanism.Parts[k.Part].Carrier, q)
	axis := geom.Line{Point: carrier.Apply(k.Axis.Point), Dir: carrier.Turn(k.Axis.Dir)}
	// Seen from b a point of a moves no faster than the farthest of a; seen from a
	// a point of b no faster than the farthest of b: the smaller of the two bounds
	// how fast the clearance changes.
	r := min(l.reach(a, axis, q), l.reach(b, axis, q))
	g.speed = math.Hypot(r, k.Lead/(2*math.Pi))
	return g
}

// reach is how far the farthest vertex of a part lies from a line, mm.
func (l *Live) reach(part int, axis geom.Line, q []float64) float64 {
	pose, far := l.Mechanism.Pose(part, q), 0.0
	for _, v := range l.Bodies[part].Mesh.V {
		d := r3.Sub(pose.Apply(v), axis.Point)
		d = r3.Sub(d, r3.Scale(r3.Dot(d, axis.Dir), axis.Dir))
		far = max(far, r3.Norm2(d))
	}
	return math.Sqrt(far)
}

// end is how an advance ends.
type end uint8

const (
	arrived end = iota
	met
	tired
)

// advance goes on from where the pair is, towards to, which it may pass by what is free
// beyond.
func (g *glide) advance(ctx context.Context, to float64, effort *Effort) (end, error) {
	dir := 1.0
	if to < g.from {
		dir = -1
	}
	for dir*(to-g.at) > 0 {
		g.q[g.t] = g.at
		if far := g.p.known.run(g.q, g.t, dir, g.need); far > 0 {
			g.at += dir * max(far, tinyStep)
			continue
		}
		if ctx.Err() != nil {
			return tired, ctx.Err()
		}
		if *effort <= 0 {
			return tired, nil
		}
		room, err := g.room(effort)
		if err != nil {
			return tired, err
		}
		if room > liveTouch {
			g.at += dir * room / g.speed
			continue
		}
		next := g.at + dir*liveTouch/g.speed
		g.q[g.t] = next
		stops, err := g.stops(room, effort)
		if stops || err != nil {
			return met, err
		}
		g.at = next
	}
	return arrived, nil
}

// stops tells whether the pair lacks clearance a little further than where it had room.
func (g *glide) stops(room float64, effort *Effort) (bool, error) {
	further, err := g.room(effort)
	if err != nil || further > liveError || room > liveError {
		return further <= 0, err
	}
	// surfaces that touched before: only the depth tells
	if g.need >= liveError {
		return further < -liveError, nil
	}
	return g.p.m.Deeper(g.q, liveError-g.need)
}

// tinyStep carries a value over the border of a cell, mm or radians; far below
// liveTouch, far above rounding.
const tinyStep = 1e-9

// room is the clearance at hand less the clearance needed, mm; beyond liveFar only
// that much is told. Surfaces that meet have no room where none may overlap: the
// depth, which is dear, is asked only where some overlap is allowed.
func (g *glide) room(effort *Effort) (float64, error) {
	*effort--
	rel := g.l.Mechanism.Pose(g.a, g.q).Then(g.l.Mechanism.Pose(g.b, g.q).Inverse())
	d, _, _ := g.l.Bodies[g.a].Tree().Distance(g.l.Bodies[g.b].Tree(), rel, max(0, g.need)+liveFar)
	if d > 0 || g.need >= 0 {
		return min(d-g.need, liveFar), nil
	}
	*effort -= deepEffort
	return g.deep()
}

// deepEffort is how many distances the depth of an overlap costs, about.
const deepEffort = 50

// deep is room with the sign of the clearance known.
func (g *glide) deep() (float64, error) {
	lower, upper, err := g.p.m.At(g.q)
	return (lower+upper)/2 - g.need, err
}
