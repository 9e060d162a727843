package motion

import (
	"cmp"
	"fmt"
	"slices"

	"feint/internal/diagram"
	"feint/internal/units"
)

// Place is situations of one distance from the goal that can be brought about from
// each other without the distance changing.
type Place struct {
	Moves  int       // to the goal, the fewest
	Count  float64   // configurations
	At     []float64 // one of them, mm or radians; the start if it is here
	Start  bool      // the start is here
	OnWay  bool      // some way of fewest moves from the start passes here
	End    bool      // no move leads from here further from the goal
	Nearer []int     // the places one move nearer the goal, by their number in Places
}

// Distance is what lies at one number of moves from the goal.
type Distance struct {
	Count  float64 // configurations
	Places int     // told apart
	Ends   int     // of them dead ends: no move leads further, and no shortest way passes
	Rest   float64 // configurations of places beyond those told apart, 0 if all were
}

// Distances is the map of situations: all that can be reached from the start as
// drawn, by the fewest moves to the goal. It rests on the strict reading: with more
// known, a distance can only fall.
type Distances struct {
	By         []Distance // by the number of moves
	Places     []Place    // by distance, the largest first; of many only the largest are listed
	Lost       float64    // configurations from which the goal cannot be reached
	Resolution string     // what one configuration is
}

// Of one distance mostPlaces are told apart, and listPlaces listed of those on
// shortest ways and of the others: as many as can be drawn and read.
const (
	mostPlaces = 400
	listPlaces = 12
)

// Distances lays out the map of situations; nil if the goal cannot be reached. The
// maps are taken as they are. The context that they were asked under must still hold.
func (j *Judge) Distances() (*Distances, error) {
	w := j.w
	w.tidy()
	q := ask(0)
	b := w.board(w.freeFor(&q, strict))
	b.Free = b.Reach(w.start)
	goal := w.sp.And(b.Free, w.goal[strict])
	if goal == diagram.Empty {
		return nil, w.trouble()
	}
	layers, _ := b.Layers(goal, diagram.Empty)
	d := &ranked{w: w, b: b, layers: layers, weight: w.weights()}
	d.out.Resolution = fmt.Sprintf("%.3g mm and %.3g deg", w.opt.CountSlide, units.Deg(w.opt.CountTurn))
	d.ways()
	all := diagram.Empty
	for i := range layers {
		d.layer(i)
		all = w.sp.Or(all, layers[i])
		if err := w.trouble(); err != nil {
			return nil, err
		}
	}
	d.out.Lost = w.sp.Count(w.sp.Minus(b.Free, all), d.weight)
	return &d.out, w.trouble()
}

// weights is how many configurations a unit of each level is.
func (w *world) weights() []float64 {
	out := make([]float64, len(w.axes))
	for t := range w.axes {
		per := w.opt.CountSlide
		if w.axes[t].angle {
			per = w.opt.CountTurn
		}
		out[w.level[t]] = w.axes[t].unit() / per
	}
	return out
}

// ranked is a map of situations in the making.
type ranked struct {
	w      *world
	b      *Board
	layers []diagram.Set
	onWay  []diagram.Set // what shortest ways from the start pass, by distance
	from   int           // the distance of the start, -1 once its place is listed
	weight []float64
	sets   []diagram.Set // of the places listed
	before []int         // numbers of the places one move nearer
	out    Distances
}

// layer tells the places of one distance apart and joins those listed to those one
// move nearer.
func (d *ranked) layer(i int) {
	sp, all := d.w.sp, d.layers[i]
	sets, rest := d.apart(all)
	count := func(x diagram.Set) float64 { return sp.Count(x, d.weight) }
	slices.SortStableFunc(sets, func(x, y diagram.Set) int { return cmp.Compare(count(y), count(x)) })
	further := diagram.Empty
	if i+1 < len(d.layers) {
		further = sp.And(all, d.b.Next(d.layers[i+1]))
	}
	sum := Distance{Count: count(all), Places: len(sets), Rest: count(rest)}
	var now []int
	listed := map[bool]int{} // by whether a shortest way passes
	for _, x := range sets {
		p := Place{Moves: i, OnWay: sp.Meets(x, d.onWay[i]), End: !sp.Meets(x, further)}
		if p.End && !p.OnWay {
			sum.Ends++
		}
		if p.Start = d.from == i && sp.Meets(d.w.start, x); p.Start {
			d.from = -1
		}
		if listed[p.OnWay]++; p.Start || listed[p.OnWay] <= listPlaces {
			p.Count = count(x)
			now = append(now, d.list(p, x))
		}
	}
	d.before = now
	d.out.By = append(d.out.By, sum)
}

// list puts a place on the map and gives its number.
func (d *ranked) list(p Place, x diagram.Set) int {
	p.At = d.at(x)
	if p.Start {
		p.At = slices.Clone(d.w.m.Start)
	}
	if p.Moves > 0 {
		to := d.b.Next(x)
		for _, k := range d.before {
			if d.w.sp.Meets(to, d.sets[k]) {
				p.Nearer = append(p.Nearer, k)
			}
		}
	}
	d.sets, d.out.Places = append(d.sets, x), append(d.out.Places, p)
	return len(d.sets) - 1
}

// apart divides a layer into its places; rest is what is left of too many.
func (d *ranked) apart(all diagram.Set) (sets []diagram.Set, rest diagram.Set) {
	sp := d.w.sp
	from := d.w.startPoint(all)
	inside := &Board{Space: sp, Free: all, Moves: d.b.Moves}
	for rest = all; rest != diagram.Empty && len(sets) < mostPlaces && sp.Err() == nil; {
		p, ok := sp.Pick(rest, from)
		if !ok {
			break
		}
		x := inside.Reach(sp.Point(p))
		sets, rest = append(sets, x), sp.Minus(rest, x)
	}
	return sets, rest
}

// at is a configuration of a place, near the start.
func (d *ranked) at(x diagram.Set) []float64 {
	w := d.w
	p, ok := w.sp.Pick(x, w.startPoint(x))
	out := make([]float64, len(w.axes))
	for l, t := range w.travel {
		a := &w.axes[t]
		if ok {
			out[t] = a.value(p[l]) + a.unit()/2
		}
	}
	return out
}

// ways finds what the shortest ways from the start pass.
func (d *ranked) ways() {
	sp := d.w.sp
	d.onWay, d.from = make([]diagram.Set, len(d.layers)), -1
	for i := range d.onWay {
		d.onWay[i] = diagram.Empty
	}
	for i, x := range d.layers {
		// a start on the border of two units is as near as the nearer of them
		if front := sp.And(x, d.w.start); front != diagram.Empty {
			d.from = i
			for d.onWay[i] = front; i > 0; i-- {
				front = sp.And(d.b.Next(front), d.layers[i-1])
				d.onWay[i-1] = front
			}
			return
		}
	}
}
