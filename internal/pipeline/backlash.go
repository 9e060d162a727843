package pipeline

import (
	"bytes"
	"context"
	"encoding/gob"
	"fmt"
	"math"
	"slices"

	"feint/internal/cache"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/play"
	"feint/internal/verdict"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// gateWide is the angle up to which the edges of a gate are looked for, radians, gateStep
	// the step of looking.
	gateWide = 8 * math.Pi / 180
	gateStep = 1 * math.Pi / 180
	// gateHalves is how often a step is halved: to 0.03 degrees.
	gateHalves = 5
	// gatePlaces is at how many places of a stroke room is looked for.
	gatePlaces = 5
)

// gates measures, for every slide of the way that follows on turns, the window of each of
// these turns in which the slide has room, and the play of the two parts against it.
func gates(ctx context.Context, out *Outcome, plays []play.Play, o Options) ([]verdict.Gate, error) {
	if out.Result == nil || out.Result.Way == nil {
		return nil, nil
	}
	m := out.Mechanism
	q := slices.Clone(m.Start)
	var turned []int // travels set since the last slide
	var found []verdict.Gate
	for _, v := range out.Result.Way.Moves {
		for _, s := range v.Strokes {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if m.Travels[s.Travel].Kind != mechanism.Slide {
				turned = append(turned, s.Travel)
				q[s.Travel] = s.To
				continue
			}
			for _, t := range turned {
				k := &gate{out: out, slide: s.Travel, from: q[s.Travel], to: s.To, turn: t, q: slices.Clone(q)}
				if g, ok := k.recalled(o.Cache); ok {
					g.add(plays, k.axis().Dir)
					found = append(found, g.Gate)
				}
			}
			turned = nil
			q[s.Travel] = s.To
		}
	}
	return found, nil
}

// gate is a slide through what a turn has set.
type gate struct {
	out         *Outcome
	slide, turn int
	from, to    float64
	q           []float64
}

type measuredGate struct{ verdict.Gate }

// add takes the play of both parts, across the axis and about it.
func (g *measuredGate) add(plays []play.Play, axis geom.Vec) {
	for i := range plays {
		p := &plays[i]
		if p.Part != g.Slides && p.Part != g.Turns || p.Unguided || p.Immovable {
			continue
		}
		side := 0.0
		for _, k := range p.Pushes {
			if math.Abs(r3.Dot(k.Dir, axis)) < math.Sqrt2/2 {
				side = max(side, k.Far)
			}
		}
		g.Side += side
		g.Turn += p.Turn
	}
}

// recalled is the window, from the cache where neither the two parts nor the travels nor
// the way there have changed.
func (k *gate) recalled(c *cache.Store) (measuredGate, bool) {
	m, bs := k.out.Mechanism, k.out.Bodies
	a, b := m.Travels[k.slide].Part, m.Travels[k.turn].Part
	key := cache.Key("gate 1", bs[a].Hash, bs[b].Hash, travelsKey(m), fmt.Sprint(k.slide, k.turn, k.from, k.to, k.q))
	var known struct {
		Gate verdict.Gate
		OK   bool
	}
	if raw, ok := c.Get(key); ok && gob.NewDecoder(bytes.NewReader(raw)).Decode(&known) == nil {
		return measuredGate{known.Gate}, known.OK
	}
	g, ok := k.window()
	known.Gate, known.OK = g.Gate, ok
	var buf bytes.Buffer
	if gob.NewEncoder(&buf).Encode(known) == nil {
		_ = c.Put(key, buf.Bytes())
	}
	return g, ok
}

// window looks for the edges of the gate; false if the two are one part, or if there is
// no edge on either side.
func (k *gate) window() (measuredGate, bool) {
	m := k.out.Mechanism
	g := measuredGate{verdict.Gate{Slides: m.Travels[k.slide].Part, Turns: m.Travels[k.turn].Part, Travel: k.turn, At: k.q[k.turn]}}
	if g.Slides == g.Turns || !k.free(k.q[k.turn]) {
		return g, false
	}
	lo, ok := k.edge(-1)
	if !ok {
		return g, false
	}
	hi, ok := k.edge(1)
	if !ok {
		return g, false
	}
	g.Half = (hi - lo) / 2
	g.Radius = k.radius(hi)
	return g, g.Radius > 0
}

// edge is the last angle on one side at which the slide has room.
func (k *gate) edge(sign float64) (float64, bool) {
	at := k.q[k.turn]
	for d := gateStep; d <= gateWide; d += gateStep {
		if k.free(at + sign*d) {
			continue
		}
		in, out := d-gateStep, d
		for range gateHalves {
			if mid := (in + out) / 2; k.free(at + sign*mid) {
				in = mid
			} else {
				out = mid
			}
		}
		return at + sign*in, true
	}
	return 0, false
}

// free tells whether the surfaces of the two stay apart all along the slide.
func (k *gate) free(angle float64) bool {
	d, _ := k.nearest(angle, touching)
	return d >= touching
}

// touching is the distance below which surfaces count as crossing, mm.
const touching = 1e-3

// nearest is the least distance of the two along the slide, no more than most, mm, and
// where, in the assembly.
func (k *gate) nearest(angle, most float64) (float64, geom.Vec) {
	m, bs := k.out.Mechanism, k.out.Bodies
	a, b := m.Travels[k.slide].Part, m.Travels[k.turn].Part
	q := slices.Clone(k.q)
	q[k.turn] = angle
	least, at := most, geom.Vec{}
	for i := range gatePlaces {
		q[k.slide] = k.from + (k.to-k.from)*float64(i)/(gatePlaces-1)
		pose := m.Pose(b, q)
		d, _, p := bs[a].Tree().Distance(bs[b].Tree(), m.Pose(a, q).Then(pose.Inverse()), least)
		if d < least {
			least, at = d, pose.Apply(p)
		}
		if d < touching {
			break
		}
	}
	return least, at
}

// radius is how far from the axis of the turn the two come nearest at an edge, mm.
func (k *gate) radius(edge float64) float64 {
	_, p := k.nearest(edge, 1)
	l := k.axis()
	d := r3.Sub(p, l.Point)
	return r3.Norm(r3.Sub(d, r3.Scale(r3.Dot(d, l.Dir), l.Dir)))
}

// axis of the turn, in the assembly.
func (k *gate) axis() geom.Line {
	m := k.out.Mechanism
	t := &m.Travels[k.turn]
	carrier := m.Pose(m.Parts[t.Part].Carrier, k.q)
	return geom.Line{Point: carrier.Apply(t.Axis.Point), Dir: carrier.Turn(t.Axis.Dir)}
}
