package pipeline

import (
	"bytes"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"math"
	"slices"

	"feint/internal/clearance"
	"feint/internal/forces/load"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/proof"
	"feint/internal/yield"
)

// inPrints judges prints of a design in which more than the hand moves parts: it is the
// yield.Directed of package hands, whose ways are led on the meshes with the clearances
// that the pairs of each print need.
type inPrints struct {
	ctx   context.Context
	m     *mechanism.Mechanism
	trees []*mesh.Tree
	box   *load.Box
	j     *hands.Judge
	place map[[2]int]int // by the parts of a pair, its place among the needs
	known []boundsOf     // of the pairs, as they were learnt
	ways  [][]*proof.Directed
}

// directedPrints lays the maps out for it, which will be asked for more; known are such as
// stay as they are. No map is asked for needs below least.
func (s *stand) directedPrints(maps, known []*clearance.Map, least float64, o Options) (*inPrints, error) {
	out := &Outcome{Mechanism: s.m, Bodies: s.bs}
	c := inHands(out, nil)
	for _, k := range maps {
		c.Maps = append(c.Maps, k)
	}
	j, err := hands.NewJudge(s.ctx, c, least, hands.Options{Progress: o.progress})
	if err != nil {
		return nil, fmt.Errorf("hands: %w", err)
	}
	p := &inPrints{ctx: s.ctx, m: s.m, box: c.Box, j: j, trees: treesOf(s.bs), place: map[[2]int]int{}, ways: make([][]*proof.Directed, 1+len(s.m.Steps))}
	for i, k := range j.Pairs() {
		p.place[k], p.place[[2]int{k[1], k[0]}] = i, i
	}
	for _, k := range known {
		p.known = append(p.known, boundsOf{k.Coords(), slices.Collect(k.Cells())})
	}
	return p, nil
}

// boundsOf is what a map knows.
type boundsOf struct {
	coords []clearance.Coord
	cells  []clearance.Cell
}

// keeps tells whether a pair, by its place, surely keeps a need all along a run of a travel:
// whether every cell that the run meets has that much.
func (p *inPrints) keeps(pair int, need float64, travel int, from, to float64, q []float64) bool {
	if len(p.known) == 0 {
		return false
	}
	k := &p.known[pair]
	var lo, hi [clearance.MaxCoords]float64
	for i := range k.coords {
		c := &k.coords[i]
		if c.Cyclic {
			return false
		}
		for _, j := range c.Terms {
			a, b := q[j.Travel], q[j.Travel]
			if j.Travel == travel {
				a, b = from, to
			}
			if j.Sign < 0 {
				a, b = -b, -a
			}
			lo[i], hi[i] = lo[i]+a, hi[i]+b
		}
		if lo[i] < c.Lo || hi[i] > c.Hi {
			return false
		}
	}
	for i := range k.cells {
		c := &k.cells[i]
		meets := c.Lower < need
		for n := 0; meets && n < len(k.coords); n++ {
			meets = c.Lo[n] <= hi[n] && c.Hi[n] >= lo[n]
		}
		if meets {
			return false
		}
	}
	return true
}

// Ways is how many ways are known of a question.
func (p *inPrints) Ways(q int) int { return len(p.ways[q]) }

// Leads leads a way on the meshes at the needs. What is refused, and what cannot be told,
// does not surely lead.
func (p *inPrints) Leads(q, way int, needs []float64) (bool, error) {
	_, err := p.led(p.ways[q][way], needs)
	return err == nil, unlessToldOff(err)
}

// mostShort is how many strokes of a way are shortened to lead it.
const mostShort = 4

// led leads a way. A stroke that is stopped a little before its end, as where what it pushes
// comes home earlier in a tighter print, is ended there: the hand goes as far as it can, and
// the way that comes of it is led from the start.
func (p *inPrints) led(d *proof.Directed, needs []float64) (*proof.DirectedReport, error) {
	for n := 0; ; n++ {
		r, err := p.follow(d, needs)
		if n == mostShort || !errors.Is(err, proof.ErrRefused) {
			return r, err
		}
		if d = shorter(d, r); d == nil {
			return r, err
		}
	}
}

// shorter is a way whose stroke that was not led to its end is ended where it was; nil if it
// was stopped far from there, or something else came of the way.
func shorter(d *proof.Directed, r *proof.DirectedReport) *proof.Directed {
	if r.Deeds >= len(d.Deeds) || len(r.Stands) != r.Deeds+1 {
		return nil
	}
	deed, n := d.Deeds[r.Deeds], len(r.Stands[r.Deeds])
	if n >= len(deed.Strokes) {
		return nil
	}
	s := deed.Strokes[n]
	at := r.At[s.Travel]
	if left := s.To - at; left*(s.To-s.From) <= 0 || math.Abs(left) > d.Near[s.Travel] {
		return nil
	}
	k := *d
	k.Deeds, deed.Strokes = slices.Clone(d.Deeds), slices.Clone(deed.Strokes)
	deed.Strokes[n].To = at
	k.Deeds[r.Deeds] = deed
	return &k
}

// follow leads a way as told. Where parts may overlap they are first asked to keep apart, which costs a
// hundredth of it: what was found holds if none of them was met, and else is found again with
// what those met need in truth (proof.DirectedReport.Met).
func (p *inPrints) follow(d *proof.Directed, needs []float64) (*proof.DirectedReport, error) {
	k, real := *d, make([]bool, len(needs))
	k.Most = mostLed
	k.Keeps = func(a, b, travel int, lo, hi float64, q []float64) bool {
		i := p.place[[2]int{a, b}]
		return real[i] && p.keeps(i, needs[i], travel, lo, hi, q)
	}
	k.Needs = func(a, b int) float64 {
		i := p.place[[2]int{a, b}]
		if !real[i] {
			return max(0, needs[i])
		}
		return needs[i]
	}
	for {
		r, err := proof.Led(p.ctx, p.m, p.trees, p.box.Carried, &k)
		again := false
		for pair := range r.Met {
			if i := p.place[pair]; needs[i] < 0 && !real[i] {
				real[i], again = true, true
			}
		}
		if !again {
			return r, err
		}
	}
}

// mostLed bounds what is looked at to lead a way for one print (proof.Directed.Most): a
// second or so. What needs more, since parts may overlap by next to nothing, is not told.
const mostLed = 25_000

// unlessToldOff leaves out what only speaks against a way.
func unlessToldOff(err error) error {
	if errors.Is(err, proof.ErrRefused) || errors.Is(err, proof.ErrOpen) {
		return nil
	}
	return err
}

// Find looks for a way at the needs and leads it.
func (p *inPrints) Find(q int, needs []float64, deep bool) (found, open bool, err error) {
	d, r, err := p.find(q, needs, deep)
	if found = r != nil; found {
		p.ways[q] = append(p.ways[q], d)
	}
	return found, d != nil && r == nil, err
}

// Work counts the nodes made.
func (p *inPrints) Work() int { return p.j.Made() }

// roughLevels is at how many levels (hands.Judge) is looked at first; further ones, of units
// that are halved again and again, are for what that leaves open, as long as they take little.
const roughLevels = 2

// levels runs over the levels at which is looked.
func (p *inPrints) levels(deep bool, each func(level int) (done bool, err error)) error {
	from, to := 0, roughLevels
	if deep {
		from, to = roughLevels, hands.Levels
	}
	for level := from; level < to; level++ {
		if done, err := each(level); done || err != nil {
			return err
		}
		if deep && !p.j.Small() {
			break
		}
	}
	return nil
}

// find gives a way with what came of it; without if it cannot be told whether it leads, and
// nil if none is seen that does.
func (p *inPrints) find(q int, needs []float64, deep bool) (d *proof.Directed, r *proof.DirectedReport, err error) {
	var avoid *mechanism.Region
	if q > 0 {
		avoid = &p.m.Steps[q-1]
	}
	err = p.levels(deep, func(level int) (bool, error) {
		w, err := p.j.Way(needs, q-1, level)
		if w == nil || err != nil {
			return false, err
		}
		d = told(w, avoid)
		k, err := p.led(d, needs)
		switch {
		case err == nil:
			r = k
		case errors.Is(err, proof.ErrRefused): // finer units push less far
			d = nil
			return false, nil
		}
		return true, unlessToldOff(err)
	})
	return d, r, err
}

// Never asks the directed law.
func (p *inPrints) Never(q int, lo, hi []float64, deep bool) (no bool, err error) {
	err = p.levels(deep, func(level int) (bool, error) {
		no, err = p.j.Never(lo, hi, q-1, level)
		return no, err
	})
	return no, err
}

// stands are where everything stands along a way as drawn: at the ends of every stroke and
// half way between; the start alone if none is known.
func (p *inPrints) stands(drawn []float64) ([][]float64, error) {
	at := slices.Clone(p.m.Start)
	out := [][]float64{at}
	_, r, err := p.find(0, drawn, false)
	if r == nil && err == nil {
		_, r, err = p.find(0, drawn, true)
	}
	if r == nil || err != nil {
		return out, err
	}
	for _, deed := range r.Stands {
		for _, q := range deed {
			mid := slices.Clone(q)
			for t := range mid {
				mid[t] = (at[t] + q[t]) / 2
			}
			out, at = append(out, mid, q), q
		}
	}
	return out, nil
}

// present leaves out of account the pairs of tools: for hands that reach everything a tool
// counts as present in all its seats at once.
type present struct {
	yield.Oracle
	without []bool // by pair
}

func presentOnly(m *mechanism.Mechanism, j *motion.Judge, o yield.Oracle) yield.Oracle {
	seat := map[int]bool{}
	for i := range m.Tools {
		for _, s := range m.Tools[i].Seats {
			seat[s.Part] = true
		}
	}
	if len(seat) == 0 {
		return o
	}
	p := &present{Oracle: o}
	for _, k := range j.Pairs() {
		p.without = append(p.without, seat[k[0]] || seat[k[1]])
	}
	return p
}

func (p *present) left(needs []float64) []float64 {
	out := slices.Clone(needs)
	for i, w := range p.without {
		if w {
			out[i] = math.Inf(-1)
		}
	}
	return out
}

// Yes, No and Sharpen are those of the oracle for the pairs that are left.
func (p *present) Yes(needs []float64) (bool, error)     { return p.Oracle.Yes(p.left(needs)) }
func (p *present) No(needs []float64) (bool, error)      { return p.Oracle.No(p.left(needs)) }
func (p *present) Sharpen(needs []float64) (bool, error) { return p.Oracle.Sharpen(p.left(needs)) }

// unscaled tells why it is not foretold at which print scales a design works: a print of
// another size weighs otherwise, and what springs and magnets do does not go with that.
func unscaled(m *mechanism.Mechanism) string {
	if m.HandsOnly() {
		return ""
	}
	for i := range m.Travels {
		if t := &m.Travels[i]; t.Spring != nil || len(t.Latches) > 0 || len(t.Detents) > 0 {
			return fmt.Sprintf("what spring, detent or magnet do to %q does not grow with the print as its weight does", t.Name)
		}
	}
	return ""
}

// judgedVersion changes whenever the same prints may be judged otherwise.
const judgedVersion = "prints judged 2"

// judged is what became of prints, as it is kept.
type judged struct {
	Report   yield.Report
	Corners  []yield.CornerFate
	Scales   yield.Scales
	Unscaled string
	Asked    int
}

func (out *YieldOutcome) kept() ([]byte, error) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(judged{out.Report, out.Corners, out.Scales, out.Unscaled, out.Asked})
	return b.Bytes(), err
}

func (out *YieldOutcome) recall(raw []byte) error {
	var k judged
	err := gob.NewDecoder(bytes.NewReader(raw)).Decode(&k)
	if err == nil {
		out.Report, out.Corners, out.Scales, out.Unscaled, out.Asked = k.Report, k.Corners, k.Scales, k.Unscaled, k.Asked
	}
	return err
}
