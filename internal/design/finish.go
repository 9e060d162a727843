package design

import (
	"math"
	"slices"
	"strings"

	"feint/internal/mechanism"
)

// draft is what a design has said so far. Its lists only ever grow, so that a
// copy of it is a state that can be returned to.
type draft struct {
	sheet    mechanism.Mechanism // the title and so on, and the tolerance
	about    bool
	params   []mechanism.Param
	parts    []*part
	started  bool
	startPos mechanism.Pos
	start    []bound
	goal     *region
	steps    []region
	fits     []fit
	tools    []tool
	posed    bool // attitudes were given
}

func newDraft() draft { return draft{sheet: mechanism.Mechanism{Tolerance: defaultTolerance}} }

func (d draft) clone() draft {
	d.params, d.parts, d.start = slices.Clip(d.params), slices.Clip(d.parts), slices.Clip(d.start)
	d.steps, d.fits, d.tools = slices.Clip(d.steps), slices.Clip(d.fits), slices.Clip(d.tools)
	return d
}

// finish makes the mechanism of the draft, and reports what is wrong with it as
// a whole. It is not to be used where problems were reported.
func (l *loader) finish() *mechanism.Mechanism {
	m := l.draft.sheet
	m.Params = l.draft.params
	index := map[string]int{}
	for i, p := range l.draft.parts {
		index[p.name] = i
	}
	l.checkFrame()
	numbers := map[*travel]int{}
	for i, p := range l.draft.parts {
		q := p.data
		q.Name, q.Shape = p.name, p.shape
		q.Carrier = l.carrier(p, index)
		for _, t := range p.travels {
			numbers[t] = len(m.Travels)
			q.Travels = append(q.Travels, len(m.Travels))
			m.Travels = append(m.Travels, inRadians(t, i))
		}
		m.Parts = append(m.Parts, q)
	}
	if m.FrameIndex() >= 0 {
		l.checkCircles(m.Parts)
	}
	l.finishStart(&m, numbers)
	l.finishRegions(&m, numbers)
	l.finishFits(&m, index)
	l.finishTools(&m, numbers, index)
	return &m
}

// checkFrame reports a design without frame, and one without parts that move.
func (l *loader) checkFrame() {
	here := mechanism.Pos{File: l.file}
	frames, moving := 0, 0
	for _, p := range l.draft.parts {
		if p.frame {
			frames++
		}
		if len(p.travels) > 0 || p.vague {
			moving++
		}
	}
	switch {
	case len(l.draft.parts) == 0:
		l.reportf(here, `add part("...", solid = ..., frame = True)`, "the design has no parts")
	case frames == 0:
		l.reportf(here, "add frame = True to the part that is held in the hand", "no part is the frame")
	}
	if moving == 0 && len(l.draft.parts) > 0 {
		l.reportf(here, "give a part travels = [slide(...)] or [turn(...)]", "no part can move")
	}
}

// carrier is the index of the part that carries p, -1 for the frame.
func (l *loader) carrier(p *part, index map[string]int) int {
	if p.frame {
		return -1
	}
	if p.carrier == "" {
		return max(0, slices.IndexFunc(l.draft.parts, func(q *part) bool { return q.frame }))
	}
	i, ok := index[p.carrier]
	if !ok {
		l.reportf(p.carrierPos, meant(p.carrier, l.partNames()), "part %q is carried by %q, but there is no such part", p.name, clip(p.carrier))
		return 0
	}
	return i
}

func (l *loader) partNames() []string {
	var ns []string
	for _, p := range l.draft.parts {
		ns = append(ns, p.name)
	}
	return ns
}

// checkCircles reports parts that carry one another in a circle.
func (l *loader) checkCircles(parts []mechanism.Part) {
	told := map[int]bool{}
	for i := range parts {
		var way []int
		at := i
		for at >= 0 && !parts[at].Frame && !slices.Contains(way, at) {
			way = append(way, at)
			at = parts[at].Carrier
		}
		if at != i || len(way) == 0 || told[i] {
			continue
		}
		var names []string
		for _, k := range way {
			told[k] = true
			names = append(names, parts[k].Name)
		}
		l.reportf(l.draft.parts[i].carrierPos, "let one of them be carried by the frame", "parts carry one another in a circle: %s", strings.Join(append(names, names[0]), ", "))
	}
}

// inRadians gives a travel as the mechanism has it.
func inRadians(t *travel, part int) mechanism.Travel {
	m := t.travel
	m.Part = part
	m.Marks = slices.Clone(m.Marks)
	m.Detents, m.Latches = slices.Clone(m.Detents), slices.Clone(m.Latches)
	if !turning(m.Kind) {
		return m
	}
	m.Lo, m.Hi = radians(m.Lo), radians(m.Hi)
	for i := range m.Marks {
		m.Marks[i].Value = radians(m.Marks[i].Value)
	}
	holdsInRadians(&m)
	return m
}

func radians(deg float64) float64 { return deg * math.Pi / 180 }

// inside is the value of the travel in the units of the mechanism.
func (t *travel) inside(v float64) float64 {
	if turning(t.travel.Kind) {
		return radians(v)
	}
	return v
}

// finishStart gives every travel its start: what was said, or 0.
func (l *loader) finishStart(m *mechanism.Mechanism, numbers map[*travel]int) {
	m.Start = make([]float64, len(m.Travels))
	said := map[*travel]bool{}
	for _, b := range l.draft.start {
		if i, ok := numbers[b.on]; ok {
			m.Start[i] = b.on.inside(b.lo)
			said[b.on] = true
		}
	}
	for _, p := range l.draft.parts {
		for _, t := range p.travels {
			if !said[t] && (t.travel.Lo > 0 || t.travel.Hi < 0) {
				l.reportf(t.travel.Pos, "say where it starts: start({"+t.String()+": ...})", "%s would start at 0, outside its limits %s", t, between(t.travel.Lo, t.travel.Hi, ""))
			}
		}
	}
}

// finishRegions fills in the goal and the steps.
func (l *loader) finishRegions(m *mechanism.Mechanism, numbers map[*travel]int) {
	convert := func(r region) mechanism.Region {
		out := mechanism.Region{Name: r.name, Pos: r.pos}
		for _, b := range r.bounds {
			if i, ok := numbers[b.on]; ok {
				out.Bounds = append(out.Bounds, mechanism.Bound{Travel: i, Lo: b.on.inside(b.lo), Hi: b.on.inside(b.hi)})
			}
		}
		slices.SortFunc(out.Bounds, func(a, b mechanism.Bound) int { return a.Travel - b.Travel })
		return out
	}
	if l.draft.goal == nil {
		l.reportf(mechanism.Pos{File: l.file}, `say when the box is open: goal("open", {lid.lift: (8, None)})`, "the design has no goal")
	} else {
		m.Goal = convert(*l.draft.goal)
	}
	for _, s := range l.draft.steps {
		if !s.unsure && l.holdsAtStart(s) {
			l.reportf(s.pos, "a step is passed on the way; choose a situation that has to be brought about", "the step %q holds at the start already", s.name)
		}
		m.Steps = append(m.Steps, convert(s))
	}
}

// holdsAtStart tells whether every bound of a region holds at the start.
func (l *loader) holdsAtStart(r region) bool {
	for _, b := range r.bounds {
		v := 0.0
		for _, s := range l.draft.start {
			if s.on == b.on {
				v = s.lo
			}
		}
		if !b.holds(v) {
			return false
		}
	}
	return len(r.bounds) > 0
}

// finishFits fills in the press fits.
func (l *loader) finishFits(m *mechanism.Mechanism, index map[string]int) {
	for _, f := range l.draft.fits {
		a, okA := index[f.a]
		b, okB := index[f.b]
		if !okA {
			l.reportf(f.posA, meant(f.a, l.partNames()), "press_fit: there is no part called %q", clip(f.a))
		}
		if !okB {
			l.reportf(f.posB, meant(f.b, l.partNames()), "press_fit: there is no part called %q", clip(f.b))
		}
		m.PressFits = append(m.PressFits, mechanism.PressFit{A: a, B: b, Depth: f.depth, Pos: f.pos})
	}
}
