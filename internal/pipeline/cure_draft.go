package pipeline

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"

	"feint/internal/design"
	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/survey"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/verdict"
)

// What is tried by default is bounded by how long it takes, counted by the size of what
// is looked at, so that it is the same on every machine: seconds of one core of a desktop
// processor of 2020, as measured on the examples to a factor of two.
const (
	cureBudget    = 3.0
	readCost      = 2e-3  // a design
	buildCost     = 25e-6 // a triangle of a part
	forcesCost    = 11e-6 // a triangle
	forcesArea    = 5e-6  // a square millimetre of surface
	printingCost  = 1e-4
	printingArea  = 17e-6
	clearanceCost = 5e-4 // of two parts in one configuration
	handlingCost  = 2e-2 // a pair of parts
)

// draft is the design with one param changed.
type draft struct {
	key    draftKey // zero of the design as it is
	o      Options
	m      *mechanism.Mechanism // nil: it cannot be read so, or has other parts or travels
	bodies []Body
	drawn  []bool            // part i is drawn as before
	built  []bool            // bodies[i] is of this design
	proved []verdict.Finding // of the whole proof; nil: not run
	failed bool
	rows   []hands.Row
	clear  *bool // no pair on the way has less room than before and too little; nil: not asked
}

type draftKey struct {
	param string
	value float64
}

// lookKey names what was asked of one draft; with the zero draftKey of the design itself.
type lookKey struct {
	draft draftKey
	need  need
	parts string
	what  string // that only this finding is asked for
}

// draft reads the design with a param at a value, once.
func (c *curing) draft(p *mechanism.Param, v float64) *draft {
	k := draftKey{p.Name, v}
	if d, ok := c.drafts[k]; ok {
		return d
	}
	d := &draft{key: k, o: c.o}
	if !c.pay(readCost) {
		return d
	}
	c.drafts[k] = d
	d.o.Progress, d.o.Asked, d.o.Early, d.o.Copies, d.o.Now, d.o.Try, d.o.uncured = nil, nil, nil, nil, nil, false, true
	d.o.Set = append(slices.DeleteFunc(slices.Clone(c.o.Set), func(s design.Setting) bool { return s.Name == p.Name }),
		design.Setting{Name: p.Name, Value: strconv.FormatFloat(v, 'g', -1, 64)})
	old := c.out.Mechanism
	m, err := Load(c.path, d.o)
	if err != nil || len(m.Parts) != len(old.Parts) || len(m.Travels) != len(old.Travels) || len(m.Steps) != len(old.Steps) {
		return d
	}
	d.m, d.bodies, d.drawn = m, slices.Clone(c.out.Bodies), make([]bool, len(m.Parts))
	for i := range m.Parts {
		d.drawn[i] = m.Tolerance == old.Tolerance && shapeKey(m.Parts[i].Shape) == shapeKey(old.Parts[i].Shape)
	}
	d.built = slices.Clone(d.drawn)
	return d
}

// differs tells whether parts are drawn otherwise, or anything else said of them is.
func (d *draft) differs(old *mechanism.Mechanism, parts []int) bool {
	for _, i := range parts {
		a, b := old.Parts[i], d.m.Parts[i]
		a.Shape, b.Shape = nil, nil
		if !d.drawn[i] || !reflect.DeepEqual(a, b) {
			return true
		}
	}
	return !reflect.DeepEqual(old.Travels, d.m.Travels) || !reflect.DeepEqual(old.Start, d.m.Start) || !reflect.DeepEqual(old.PressFits, d.m.PressFits)
}

// build builds those of the parts that are drawn otherwise; false if one cannot be built
// or the budget does not reach.
func (c *curing) build(d *draft, parts []int) bool {
	for _, i := range parts {
		if d.built[i] || d.failed {
			continue
		}
		if !c.pay(buildCost * float64(len(d.bodies[i].Mesh.T))) {
			return false
		}
		b, err := body(c.ctx, &d.m.Parts[i], d.m.Tolerance, d.o, newLoader())
		if err != nil || !b.Sound() {
			d.failed = true
			continue
		}
		d.bodies[i], d.built[i] = b, true
	}
	return !d.failed
}

// told is what the rule of f finds, and those beside it, of a draft, or of the design as it is
// where d is nil, with what is needed found anew of the parts alone.
func (t *trying) told(d *draft, n need, f *verdict.Finding, parts []int) ([]verdict.Finding, bool) {
	if n == needsProof {
		return t.proved(d)
	}
	if d == nil {
		d = &draft{o: t.o, m: t.out.Mechanism, bodies: t.out.Bodies}
		d.o.Progress = nil
	} else if !t.build(d, parts) {
		return nil, false
	}
	k := lookKey{draft: d.key, need: n, parts: fmt.Sprint(parts)}
	switch n {
	case needsForces:
		k.what = fmt.Sprint(wanted(f.Rule))
	case needsPrinting:
	case needsProof, needsDesign, needsCock, needsStart, needsHandling, needsNothing:
		k.what = f.Rule + " " + f.Of
	}
	if fs, ok := t.before[k]; ok {
		return fs, fs != nil
	}
	if known := n == needsHandling && (d.rows != nil || d.key == draftKey{}); !known && !t.pay(t.costs(n, parts, wanted(f.Rule))) {
		return nil, false
	}
	r, ev, ok := t.evidence(d, n, f, parts)
	if !ok {
		t.before[k] = nil
		return nil, false
	}
	fs := verdict.Findings(d.m, r, ev, n.rules(f.Rule))
	if fs == nil {
		fs = []verdict.Finding{}
	}
	t.before[k] = fs
	return fs, true
}

// costs is what finding it anew takes, seconds.
func (c *curing) costs(n need, parts []int, what survey.What) float64 {
	area, triangles := 0.0, 0.0
	for _, i := range parts {
		area += c.out.Bodies[i].Mesh.Area()
		triangles += float64(len(c.out.Bodies[i].Mesh.T))
	}
	switch n {
	case needsForces:
		all := forcesCost*triangles + forcesArea*area
		if what != survey.Magnets { // a third of all, each
			all /= 3
		}
		return all
	case needsCock:
		return forcesCost*triangles + forcesArea*area
	case needsPrinting:
		return printingCost*triangles + printingArea*area
	case needsStart:
		return clearanceCost + forcesCost*triangles
	case needsHandling:
		return handlingCost*float64(len(c.ps)) + forcesCost*triangles
	case needsProof, needsDesign, needsNothing:
	}
	return 0
}

// evidence is what the rule is asked with: as it is, but for what is found anew.
func (c *curing) evidence(d *draft, n need, f *verdict.Finding, parts []int) (*motion.Result, verdict.Evidence, bool) {
	ev, r := *c.ev, c.out.Result
	switch n {
	case needsForces:
		meshes := make([]*mesh.Mesh, len(d.bodies))
		for _, i := range parts {
			meshes[i] = d.bodies[i].Mesh
		}
		what := wanted(f.Rule)
		box := &load.Box{}
		if what&(survey.Weak|survey.Pockets) == 0 {
			box = load.NewBox(d.m, meshes)
		}
		s, err := survey.Only(d.m, meshes, box, forces.Interval{Lo: c.o.Growth[0], Hi: c.o.Growth[1]}, what)
		ev.Forces = s
		return r, ev, err == nil
	case needsCock:
		ev.Forces = &survey.Survey{}
		for _, k := range d.m.Parts[f.Where.Parts[0]].Travels {
			if v, ok := survey.CockOf(d.m, trees(d.bodies), k); ok && d.m.Travels[k].Name == f.Of {
				ev.Forces.Cocks = append(ev.Forces.Cocks, v)
			}
		}
	case needsPrinting:
		only := make([]Body, len(d.bodies))
		for i := range only {
			only[i] = Body{Mesh: &mesh.Mesh{}}
		}
		for _, i := range parts {
			only[i] = d.bodies[i]
		}
		s, err := printing(c.ctx, d.m, only, d.o, d.o.print())
		ev.Printing = s
		return r, ev, err == nil
	case needsStart:
		a, b := f.Where.Parts[0], f.Where.Parts[1]
		room, ok := roomOf(d, a, b, d.m.Start)
		next := *r
		next.Drawn.Start = motion.Yes // of the others others tell
		ev.Clashes = nil
		if over := d.m.Needs(a, b, 0) - room; over > 0 {
			ev.Clashes = []verdict.Overlap{{A: a, B: b, Depth: over}}
		}
		return &next, ev, ok
	case needsHandling:
		ok := c.handle(d)
		ev.Handling = d.rows
		return r, ev, ok
	case needsProof, needsDesign, needsNothing: // nothing is measured
	}
	return r, ev, true
}

// handle asks how a draft stands being handled, once; the maps are those of the design, as
// every part is drawn as it is there.
func (c *curing) handle(d *draft) bool {
	if d.rows != nil {
		return true
	}
	if d.rows = c.ev.Handling; d.key == (draftKey{}) {
		return true
	}
	d.rows = nil
	k := inHands(&Outcome{Mechanism: d.m, Bodies: d.bodies, Result: c.out.Result}, c.ps)
	if drawn(k, c.o) != nil {
		return false
	}
	rows, err := hands.Handling(c.ctx, k, c.o.Growth[0], hands.Options{})
	d.rows = rows
	return err == nil
}

// roomOf is the clearance of two parts of a draft in a configuration.
func roomOf(d *draft, a, b int, q []float64) (float64, bool) {
	if len(q) != len(d.m.Travels) || a == b {
		return 0, false
	}
	v, ok := d.rooms(a, b, [][]float64{q})
	if !ok {
		return 0, false
	}
	return v[0], true
}
