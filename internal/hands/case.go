package hands

import (
	"context"
	"errors"
	"fmt"
	"math"

	"feint/internal/diagram"
	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// Case is a mechanism with all that is known of it.
type Case struct {
	Mechanism *mechanism.Mechanism
	Maps      []motion.PairMap
	Box       *load.Box // weighed; its Hold, Bias and Barrier are not used
	Pulls     []Pull    // by travel, what magnets of the parts do to it at the start; nil: they do nothing
	Radius    []float64 // by travel, mm: farthest from the axis that a turn or helix carries a point; unused for slides
}

// Pull is what magnets of the parts do to a travel at the start.
type Pull struct {
	Push forces.Interval    // along rising values, N or N mm
	Hold [2]forces.Interval // by how much more they resist as it goes on, forwards and backwards, N or N mm
	Part [2]forces.Interval // the energy to get out of their reach, forwards and backwards, mJ
}

// none tells whether nothing is done.
func (p *Pull) none() bool { return *p == Pull{} }

// Options say how finely is asked; the zero value of a field takes its default.
type Options struct {
	Slide  float64   // largest unit of a slide, mm; default 0.25
	Turn   float64   // largest unit of a turn, radians; default 1 degree
	Width  float64   // of the maps, mm of clearance; default 0.02
	Shakes []float64 // asked by Handling beside those by convention, g
	// Bound is what was found for hands that reach everything, nil if nothing was:
	// what they cannot do need not be asked again.
	Bound *motion.Result
	// Exists tells whether a way exists as it is, at its growth, keeping out of a step if
	// avoid is not negative; No if on the bodies something else comes of it. nil: nobody
	// can tell.
	Exists func(w *Way, avoid int) motion.Answer
	// Begin lets Exists be found out beside other work; nil: it is when it is asked.
	Begin func(w *Way)
	// Closed follows an answer "no" by a second method; nil: nobody does.
	Closed func(c *Closure) (detail string, err error)
	// Fewest follows, by a second method, that no way has fewer than n moves, or than those
	// that it tells of; c has no Reached. nil: nobody does.
	Fewest func(c *Closure, n int) (shown int, detail string, err error)
	// Trapped follows, by a second method, a way into a trap and that nothing leads from
	// there into the goal; it asks for the closure from what it comes to. No if it comes to
	// something else; nil: nobody does.
	Trapped func(w *Way, from func(at []float64) *Closure) (motion.Answer, string)
	// Returned follows, by a second method, a way into the goal and back to the start, or,
	// where there is none, that nothing leads back: c has Back and Home. No if it comes to
	// something else; nil: nobody does.
	Returned func(w *Way, c *Closure) (motion.Answer, string)
	Progress func(what string, done, total int)
}

const (
	defaultSlide = 0.25
	defaultTurn  = math.Pi / 180
	defaultWidth = 0.02
)

func (o Options) withDefaults() Options {
	if o.Slide == 0 {
		o.Slide = defaultSlide
	}
	if o.Turn == 0 {
		o.Turn = defaultTurn
	}
	if o.Width == 0 {
		o.Width = defaultWidth
	}
	if o.Progress == nil {
		o.Progress = func(string, int, int) {}
	}
	return o
}

// reading tells for what is in doubt is taken: strictly for blocked, and for what
// does not fall; generously for free, and for what may fall or not.
type reading uint8

const (
	strict reading = iota
	generous
)

// bench is a case laid out on a lattice, with a level for the attitude and one for
// every tool.
type bench struct {
	c    *Case
	m    *mechanism.Mechanism
	opt  Options
	lat  *motion.Lattice
	sp   *diagram.Space
	ups  []geom.Vec
	near [][]int
	// parked is where the part of a seat stands while the tool is elsewhere: one
	// unit of each of its travels; nil for parts that are no seats.
	parked []diagram.Set
	seat   [][2]int // by part: tool and seat, or -1

	boards []*Board      // in use
	pinned []diagram.Set // held by a question that asks others meanwhile
	tidyAt int
}

func newBench(ctx context.Context, c *Case, o Options) (*bench, error) {
	m := c.Mechanism
	if len(m.Start) != len(m.Travels) {
		return nil, fmt.Errorf("hands: %d start values for %d travels", len(m.Start), len(m.Travels))
	}
	b := &bench{c: c, m: m, opt: o.withDefaults(), ups: m.Ups(), tidyAt: tidyAt}
	b.near = Neighbours(b.ups)
	extras := []int32{int32(len(b.ups))}
	for i := range m.Tools {
		extras = append(extras, int32(len(m.Tools[i].Seats)))
	}
	var err error
	if b.lat, err = motion.NewLattice(ctx, m, c.Maps, b.opt.Slide, b.opt.Turn, extras); err != nil {
		return nil, err
	}
	b.sp = b.lat.Space()
	b.park()
	return b, b.trouble()
}

func (b *bench) trouble() error { return errors.Join(b.lat.Err(), b.sp.Err()) }

// attitude is the level of the attitudes, tool that of the seats of tool i.
func (b *bench) attitude() int  { return b.lat.Level(len(b.m.Travels)) }
func (b *bench) tool(i int) int { return b.lat.Level(len(b.m.Travels) + 1 + i) }

// seated is where tool i is in its seat s.
func (b *bench) seated(i, s int) diagram.Set {
	return b.sp.Runs(b.tool(i), diagram.Run{Lo: int32(s), Hi: int32(s) + 1})
}

// Neighbours lists for every attitude those to which one turn leads: all between
// which and it no third one lies on the way.
func Neighbours(ups []geom.Vec) [][]int {
	const slack = math.Pi / 180
	angle := func(a, b geom.Vec) float64 {
		return math.Acos(max(-1, min(1, a.X*b.X+a.Y*b.Y+a.Z*b.Z)))
	}
	out := make([][]int, len(ups))
	for i, u := range ups {
		for j, v := range ups {
			if i == j {
				continue
			}
			direct := true
			for k, w := range ups {
				if k != i && k != j && angle(u, w)+angle(w, v) <= angle(u, v)+slack {
					direct = false
				}
			}
			if direct {
				out[i] = append(out[i], j)
			}
		}
	}
	return out
}

// park finds the seats of tools.
func (b *bench) park() {
	b.parked = make([]diagram.Set, len(b.m.Parts))
	b.seat = make([][2]int, len(b.m.Parts))
	for p := range b.seat {
		b.seat[p] = [2]int{-1, -1}
	}
	for i := range b.m.Tools {
		for s, seat := range b.m.Tools[i].Seats {
			b.seat[seat.Part] = [2]int{i, s}
			at := diagram.All
			for _, k := range seat.Out {
				l := b.lat.Level(k.Travel)
				runs := b.sp.Line(b.lat.Within(k), l, make([]int32, len(b.sp.Levels())))
				if len(runs) == 0 {
					at = diagram.Empty
					continue
				}
				mid := (runs[0].Lo + runs[0].Hi - 1) / 2
				at = b.sp.And(at, b.sp.Runs(l, diagram.Run{Lo: mid, Hi: mid + 1}))
			}
			b.parked[seat.Part] = at
		}
	}
}

// exists is where the part is in the box: everywhere but for a seat whose tool is
// elsewhere.
func (b *bench) exists(part int) diagram.Set {
	if s := b.seat[part]; s[0] >= 0 {
		return b.seated(s[0], s[1])
	}
	return diagram.All
}

// start is the units of the start, in its attitude, every tool in its first seat.
func (b *bench) start() diagram.Set {
	x := b.sp.Runs(b.attitude(), diagram.Run{Lo: 0, Hi: 1})
	for t := range b.m.Travels {
		v := b.m.Start[t]
		if s := b.seat[b.m.Travels[t].Part]; s[0] >= 0 && s[1] > 0 {
			continue
		}
		x = b.sp.And(x, b.lat.Touching(mechanism.Bound{Travel: t, Lo: v, Hi: v}))
	}
	for i := range b.m.Tools {
		x = b.sp.And(x, b.seated(i, 0))
		for s, seat := range b.m.Tools[i].Seats {
			if s > 0 {
				x = b.sp.And(x, b.parked[seat.Part])
			}
		}
	}
	return x
}

// region is the configurations of a region by one of the lattice's roundings.
func (b *bench) region(r *mechanism.Region, by func(mechanism.Bound) diagram.Set) diagram.Set {
	x := diagram.All
	for _, k := range r.Bounds {
		x = b.sp.And(x, by(k))
		x = b.sp.And(x, b.exists(b.m.Travels[k.Travel].Part))
	}
	return x
}
