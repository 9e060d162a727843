package hands

import (
	"math"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// mostLegs bounds the stretches of a way, and mostStands the places at which one part is
	// looked at.
	mostLegs   = 7
	mostStands = 6000
	// turnBy is by how much parts are turned at a time, radians; turnLook between looks.
	turnBy   = math.Pi / 4
	turnLook = math.Pi / 36
	// besideStop is how far off what it ran into a part is left, mm: half of a small gap.
	besideStop = 0.1
)

// stance is where a single part is on its way out: turned about its middle, then shifted.
type stance struct {
	turn geom.Motion // about the middle of the part as it stands
	rot  int         // names the turn
	at   geom.Vec
	from int // the stance before; -1: none
	leg  Stretch
	legs int
	stop bool // something is in the way there, or it was turned there
	// weight counts the stretches to here, and again those that end in the middle of nowhere
	weight int
}

// pose is the motion from where the part stood.
func (s *stance) pose() geom.Motion { return s.turn.Then(geom.Translation(s.at)) }

// wander is the search of one group.
type wander struct {
	h     *hunt
	k     *group
	mid   geom.Vec
	ways  []geom.Vec
	turns []geom.Motion
	all   []stance
	todo  [][]int // stances to go on from, by their weight
	seen  map[[4]int]bool
	stops map[[4]int]bool
	out   func(i int, d geom.Vec, far float64) (bool, error) // tells whether it was a way
	found bool
}

// wandered finds a part that comes out of those left as a single body: straight in one
// direction after another and turned by eighths of a full turn, the fewest such stretches
// first: as the parts stand, then as they do at the end of the way, if they are on it.
func (h *hunt) wandered(left []int) (*Entry, error) {
	e, err := h.wanderers(left)
	end := len(h.way) - 1
	if e != nil || err != nil || h.on < 0 || h.on == end {
		return e, err
	}
	back := h.a.q
	if err = h.a.stand(h.way[end]); err != nil {
		return nil, err
	}
	if e, err = h.wanderers(left); e == nil || err != nil {
		if again := h.a.stand(back); again != nil {
			return nil, again
		}
		return nil, err
	}
	for i := end; i > h.on; i-- {
		e.After = append(e.After, h.undone(&situation{q: h.way[i-1], onWay: i - 1}, &situation{q: h.way[i], onWay: i})...)
	}
	h.on = end
	return e, nil
}

func (h *hunt) wanderers(left []int) (*Entry, error) {
	from := h.cost
	for _, p := range left {
		for _, parts := range h.groups(p, left) {
			if h.held(parts, left) {
				continue
			}
			e, err := h.wander(parts, left, from)
			if e != nil || err != nil || h.a.ctx.Err() != nil {
				return e, err
			}
		}
	}
	return nil, h.a.ctx.Err()
}

func (h *hunt) wander(parts, left []int, from int) (*Entry, error) {
	others := h.around(parts, left)
	w := &wander{h: h, k: h.gather(parts, others, h.a.q), seen: map[[4]int]bool{}, stops: map[[4]int]bool{}, turns: []geom.Motion{geom.Identity()}}
	w.mid = middle(h.a.meshes[parts[0]])
	w.ways = h.a.ways(parts[0])
	w.all = []stance{{turn: geom.Identity(), from: -1, stop: true}}
	var e *Entry
	w.out = func(i int, d geom.Vec, far float64) (bool, error) {
		path := w.path(i, d)
		w.settle(path)
		h.tries++
		ok, err := w.measured(path, others)
		if ok {
			e = &Entry{Part: parts[0], With: parts[1:], Way: r3.Scale(-1, d), Path: inwards(path)}
		}
		return ok, err
	}
	share := huntWander / float64(len(left))
	begun := h.cost
	w.todo = [][]int{{0}}
	for at := 0; at < len(w.todo); at++ {
		for n := 0; n < len(w.todo[at]); n++ {
			i := w.todo[at][n]
			if h.spent(from, huntWander) || float64(h.cost-begun) > share || len(w.all) > mostStands {
				h.tried.Short = true
				h.tried.Stands += len(w.all)
				return nil, nil
			}
			if w.all[i].legs >= mostLegs {
				continue
			}
			if err := w.grow(i); err != nil || w.found {
				return e, err
			}
		}
	}
	h.tried.Stands += len(w.all)
	return nil, nil
}

func middle(m *mesh.Mesh) geom.Vec {
	b := m.Bounds()
	return r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
}

// grow adds the stances that one stretch leads to.
func (w *wander) grow(i int) error {
	for _, d := range w.ways {
		if err := w.ray(i, d); err != nil || w.found {
			return err
		}
	}
	s := w.all[i]
	if !s.stop {
		return nil
	}
	for _, axis := range []geom.Vec{{Z: 1}, {X: 1}, {Y: 1}} {
		for _, by := range [2]float64{turnBy, -turnBy} {
			w.turned(i, axis, by)
		}
	}
	return nil
}

// ray goes on straight until something is in the way, or out.
func (w *wander) ray(i int, d geom.Vec) error {
	s := w.all[i]
	step, free := w.h.step(), 0.0
	every := int(math.Ceil(w.h.a.size / legSteps / step))
	for n := 1; ; n++ {
		next := s
		next.at = r3.Add(s.at, r3.Scale(float64(n)*step, d))
		if w.k.hits(next.pose()) {
			break
		}
		free = float64(n) * step
		if w.k.out(next.pose(), d) || free > w.h.a.size {
			ok, err := w.out(i, d, free)
			w.found = ok
			return err
		}
		if n%every == 0 {
			w.add(next, i, Stretch{Way: d, Far: free}, false)
		}
	}
	lo, hi := free, free+step
	for hi-lo > besideStop/4 {
		next := s
		next.at = r3.Add(s.at, r3.Scale((lo+hi)/2, d))
		if w.k.hits(next.pose()) {
			hi = (lo + hi) / 2
		} else {
			lo = (lo + hi) / 2
		}
	}
	if far := lo - besideStop; far > besideStop {
		s.at = r3.Add(s.at, r3.Scale(far, d))
		w.add(s, i, Stretch{Way: d, Far: far}, true)
	}
	return nil
}

// add notes a stance unless one like it was there before.
func (w *wander) add(s stance, from int, leg Stretch, stop bool) {
	key, cell := [4]int{s.rot}, w.h.step()/2
	if stop {
		cell /= 2
	}
	for k, v := range [3]float64{s.at.X, s.at.Y, s.at.Z} {
		key[k+1] = int(math.Round(v / cell))
	}
	seen := w.seen
	if stop {
		seen = w.stops
	}
	if seen[key] {
		return
	}
	seen[key] = true
	s.from, s.leg, s.stop, s.legs = from, leg, stop, w.all[from].legs+1
	s.weight = w.all[from].weight + 1
	if !stop {
		s.weight++
	}
	w.all = append(w.all, s)
	for len(w.todo) <= s.weight {
		w.todo = append(w.todo, nil)
	}
	w.todo[s.weight] = append(w.todo[s.weight], len(w.all)-1)
}

// turned adds the stance turned about an axis through the middle, if nothing is in the way.
func (w *wander) turned(i int, axis geom.Vec, by float64) {
	s := w.all[i]
	line := geom.Line{Point: w.mid, Dir: axis}
	n := int(math.Abs(by)/turnLook + 0.5)
	for k := 1; k <= n; k++ {
		g := s.turn.Then(geom.Rotation(line, by*float64(k)/float64(n))).Then(geom.Translation(s.at))
		if w.k.hits(g) {
			return
		}
	}
	s.turn = s.turn.Then(geom.Rotation(line, by))
	s.rot = w.rot(&s.turn)
	w.add(s, i, Stretch{Axis: geom.Line{Point: r3.Add(w.mid, s.at), Dir: axis}, Angle: by}, true)
}

func (w *wander) rot(g *geom.Motion) int {
	for i := range w.turns {
		far := 0.0
		for k := range g.R {
			far += r3.Norm(r3.Sub(g.R[k], w.turns[i].R[k]))
		}
		if far < sameTurn {
			return i
		}
	}
	w.turns = append(w.turns, *g)
	return len(w.turns) - 1
}

// path lists the stretches outwards to stance i, and out along d; such that go on in one
// direction, or about one axis, are one.
func (w *wander) path(i int, d geom.Vec) []Stretch {
	out := []Stretch{{Way: d}}
	for ; w.all[i].from >= 0; i = w.all[i].from {
		s := w.all[i].leg
		k := &out[0]
		switch {
		case s.Angle == 0 && k.Angle == 0 && r3.Dot(s.Way, k.Way) > 1-1e-9:
			if k.Far > 0 {
				k.Far += s.Far
			}
		case s.Angle != 0 && k.Angle != 0 && r3.Norm(r3.Cross(s.Axis.Dir, k.Axis.Dir)) < 1e-9:
			k.Angle += s.Angle
		default:
			out = append([]Stretch{s}, out...)
		}
	}
	return out
}

// settle moves the bends of a path to the middle of where they may be, as far as points
// show: the search finds them at one end of it.
func (w *wander) settle(path []Stretch) {
	by := w.h.step() / 4
	for i := range path[:len(path)-1] {
		if path[i].Angle != 0 {
			continue
		}
		var room [2]float64
		for side, sign := range [2]float64{-1, 1} {
			for n := 1.0; n <= 12; n++ {
				was := path[i].Far
				path[i].Far = was + sign*n*by
				ok := path[i].Far > 0 && w.goes(path)
				path[i].Far = was
				if !ok {
					break
				}
				room[side] = n * by
			}
		}
		path[i].Far += (room[1] - room[0]) / 2
	}
}

// goes tells whether points seem to go the whole path.
func (w *wander) goes(path []Stretch) bool {
	g := geom.Identity()
	for i := range path {
		s := &path[i]
		if s.Angle != 0 {
			line := w.axis(g, s)
			n := int(math.Abs(s.Angle)/turnLook + 0.5)
			for k := 1; k <= n; k++ {
				if w.k.hits(g.Then(geom.Rotation(line, s.Angle*float64(k)/float64(n)))) {
					return false
				}
			}
			g = g.Then(geom.Rotation(line, s.Angle))
			continue
		}
		if i == len(path)-1 {
			return w.k.leaves(g, s.Way)
		}
		n := math.Ceil(s.Far / w.h.step())
		for k := 1.0; k <= n; k++ {
			if w.k.hits(g.Then(geom.Translation(r3.Scale(s.Far*k/n, s.Way)))) {
				return false
			}
		}
		g = g.Then(geom.Translation(r3.Scale(s.Far, s.Way)))
	}
	return true
}

// axis is the line about which a stretch turns what g has brought on.
func (w *wander) axis(g geom.Motion, s *Stretch) geom.Line {
	return geom.Line{Point: g.Apply(w.mid), Dir: s.Axis.Dir}
}

// measured tells whether the group goes the path past all others, as exactly as ways are
// measured; the axes of its turns are told with it.
func (w *wander) measured(path []Stretch, others []int) (bool, error) {
	a := w.h.a
	g := geom.Identity()
	for i := range path {
		s := &path[i]
		if s.Angle != 0 {
			s.Axis = w.axis(g, s)
		}
		for _, p := range w.k.parts {
			shape := moved(a.meshes[p], g)
			body, err := clearance.NewBody(shape)
			if err != nil {
				return false, err
			}
			for _, o := range others {
				ok, err := w.stretch(shape, body, p, o, s, i == len(path)-1)
				if !ok || err != nil {
					return false, err
				}
			}
		}
		if s.Angle != 0 {
			g = g.Then(geom.Rotation(s.Axis, s.Angle))
		} else {
			g = g.Then(geom.Translation(r3.Scale(s.Far, s.Way)))
		}
	}
	return true, nil
}

// stretch measures one stretch of one part past another.
func (w *wander) stretch(shape *mesh.Mesh, body *clearance.Body, p, o int, s *Stretch, last bool) (bool, error) {
	a := w.h.a
	if last {
		return a.passes(shape, body, p, o, s.Way)
	}
	tr := mechanism.Travel{Part: 1, Axis: geom.Line{Dir: s.Way}, Hi: s.Far}
	if s.Angle != 0 {
		line := s.Axis
		if s.Angle < 0 {
			line.Dir = r3.Scale(-1, line.Dir)
		}
		tr = mechanism.Travel{Part: 1, Kind: mechanism.Turn, Axis: line, Hi: math.Abs(s.Angle)}
	}
	m := &mechanism.Mechanism{
		Parts:   []mechanism.Part{{Frame: true, Carrier: -1}, {Carrier: 0, Travels: []int{0}}},
		Travels: []mechanism.Travel{tr},
		Start:   []float64{0},
	}
	return a.free(m, o, body, a.m.Needs(p, o, 0)-assemblyDeep)
}

// inwards is a path outwards read backwards.
func inwards(path []Stretch) []Stretch {
	var out []Stretch
	for i := len(path) - 1; i >= 0; i-- {
		s := path[i]
		s.Way, s.Angle = r3.Scale(-1, s.Way), -s.Angle
		if s.Angle != 0 {
			s.Way = geom.Vec{}
		} else {
			s.Angle = 0
		}
		out = append(out, s)
	}
	return out
}
