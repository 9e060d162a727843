package gauge

import (
	"context"
	"fmt"
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// wall is the least plastic round a hollow, mm: four lines of a 0.4 mm nozzle.
	wall = 2.0
	// deep is how far a plug goes in, mm, if the fit is as long: enough to feel.
	deep = 6.0
	// widest is the widest hollow of which a gauge is cut whole, mm; of wider ones it
	// is a section.
	widest = 32.0
	// handle is by how much the plug is longer than the socket, mm.
	handle = 8.0
	// agree is by how much the gap of a finished socket may differ from its label,
	// mm: the last digit of the label.
	agree = 0.01
	// leastRungs of a ladder, fewer tell nothing.
	leastRungs = 3
)

// Cut makes a gauge for every fit that one can be cut of, in their order, each
// within MostMinutes and MostGrams; number n is the n-th fit. What cannot be cut
// is told in refused. parts are those of the mechanism, in order; one without a
// mesh takes part in nothing.
//
// With most above 0 it stops after so many gauges; with only given it cuts those
// numbers and no others. It ends with the error of ctx as soon as that is done.
func Cut(ctx context.Context, parts []Part, fits []mating.Fit, s Settings, most int, only ...int) (gs []Gauge, refused []Refused, err error) {
	s.stop = ctx.Done()
	for i := range fits {
		if len(only) > 0 && !slices.Contains(only, i+1) {
			continue
		}
		if most > 0 && len(gs) == most {
			break
		}
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		if k := twin(gs, &fits[i]); k != nil && len(only) == 0 {
			refused = append(refused, Refused{fits[i], fmt.Sprintf("the sockets of %s hold it already", k.Name)})
			continue
		}
		g, why := cutFit(parts, &fits[i], i+1, s)
		if err := ctx.Err(); err != nil { // else why would say so of this fit
			return nil, nil, err
		}
		if why != "" {
			refused = append(refused, Refused{fits[i], why})
			continue
		}
		gs = append(gs, *g)
	}
	return gs, refused, nil
}

// twin is a gauge of the same two parts at the same place, nil if there is none: a
// square hole has two pairs of walls, and one socket shows both.
func twin(gs []Gauge, f *mating.Fit) *Gauge {
	for i := range gs {
		o := gs[i].Fit
		if o.Outer == f.Outer && o.Inner == f.Inner && !o.Round && !f.Round && math.Abs(o.Gap-f.Gap) < 0.03 &&
			r3.Norm(r3.Sub(o.Middle, f.Middle)) < max(o.Wide, f.Wide) {
			return &gs[i]
		}
	}
	return nil
}

// job is the cutting of one gauge.
type job struct {
	f            *mating.Fit
	outer, inner *Part
	s            Settings
	number       int

	frame  frame
	socket *mesh.Mesh // outer part, cut out, as drawn
	marked []bool     // its triangles that belong to the hollow
	plug   *mesh.Mesh // inner part, cut out, where it stands in the socket
	gap    float64    // between socket and plug as drawn
	notes  []string   // on how it was cut
}

// cutFit makes the gauge of one fit, or tells why not.
func cutFit(parts []Part, f *mating.Fit, number int, s Settings) (*Gauge, string) {
	j := &job{f: f, outer: &parts[f.Outer], inner: &parts[f.Inner], s: s, number: number}
	if j.outer.Mesh == nil || j.inner.Mesh == nil {
		return nil, "one of the parts has no sound mesh"
	}
	if f.Wide > widest {
		return j.sections()
	}
	if why := j.place(); why != "" {
		return nil, why
	}
	why := ""
	for _, depth := range [2]float64{deep, 4} {
		if why = j.cutOut(depth); why != "" {
			return nil, why
		}
		for rungs := j.ladder(); len(rungs) >= leastRungs && !j.stopped(); rungs = j.fewer(rungs) {
			g, fault := j.assemble(rungs)
			if g != nil {
				g.Notes = append(g.Notes, j.notes...)
				return g, ""
			}
			why = fault
		}
	}
	return nil, why
}

// stopped tells whether the work is to end; what is told then is thrown away.
func (j *job) stopped() bool {
	select {
	case <-j.s.stop:
		return true
	default:
		return false
	}
}

// fewer leaves out one gap: the widest, and from then on the narrowest, so that the
// drawn one stays.
func (j *job) fewer(gaps []float64) []float64 {
	if n := len(gaps); gaps[n-1] > j.f.Gap+0.005 {
		return gaps[:n-1]
	}
	return gaps[1:]
}

const tooLarge = "three sockets and a plug would take more than 15 minutes or 6 g"

// place finds the frame: z is the way in which the plug goes in.
func (j *job) place() string {
	f := j.f
	z := f.Axis.Dir
	if !f.Round && f.Turns {
		r := r3.Sub(f.Middle, f.Axis.Point)
		r = r3.Sub(r, r3.Scale(r3.Dot(r, z), z))
		if r3.Norm(r) < 1 {
			return "the parts turn on the spot there; there is no way in"
		}
		z = r3.Unit(r3.Cross(f.Axis.Dir, r))
	}
	x := f.Across
	if f.Round {
		x = r3.Unit(r3.Cross(z, geom.LeastAxis(z)))
	}
	x = r3.Sub(x, r3.Scale(r3.Dot(x, z), z))
	if r3.Norm(x) < 0.9 {
		return "the walls lie across the way in which the parts slide"
	}
	x = r3.Unit(x)
	j.frame = frame{at: f.Middle, x: x, y: r3.Cross(z, x), z: z}
	return ""
}

// extent of the fit's contacts along a direction, about the frame's middle.
func (j *job) extent(dir geom.Vec) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range j.f.Contacts {
		h := r3.Dot(dir, r3.Sub(j.f.Contacts[i].At, j.frame.at))
		lo, hi = min(lo, h), max(hi, h)
	}
	return lo, hi
}

// cutOut cuts socket and plug out of the two parts.
func (j *job) cutOut(depth float64) string {
	f := &j.frame
	lo, hi := j.extent(f.z)
	mid := (lo + hi) / 2
	lo, hi = max(lo-0.5, mid-depth/2), min(hi+0.5, mid+depth/2)
	if hi-lo < 2.5 {
		lo, hi = mid-1.25, mid+1.25
	}
	ylo, yhi := j.extent(f.y)
	ymid, half := (ylo+yhi)/2, min(6, max(2, (yhi-ylo)/2))
	var body, first, pieces *mesh.Mesh
	for _, margin := range [3]float64{wall, 2 * wall, 4 * wall} {
		side := j.f.Wide/2 + min(margin, 1.5*wall)
		cutter := f.box(-side, side, ymid-half-margin, ymid+half+margin, lo, hi)
		if j.f.Round {
			cutter = f.round(j.f.Wide/2+margin, lo, hi)
		}
		whole, err := common(j.outer.Mesh, cutter, j.s.options())
		if err != nil {
			return err.Error()
		}
		if len(whole.T) == 0 {
			return "nothing of the part lies round the fit"
		}
		var lost float64
		if j.socket, lost = largest(whole); lost < 0.02 {
			body = cutter
			break
		}
		if pieces == nil {
			first, pieces = cutter, whole
		}
	}
	ylo, yhi = ymid-half-8, ymid+half+8
	if body == nil {
		return j.floored(first, pieces, ylo, yhi, lo, hi)
	}
	return j.cutPlug(body, ylo, yhi, lo, hi)
}

// cutPlug cuts the inner part and looks for the hollow's faces. The plug is longer
// than the socket on the side on which it can be drawn out; if both will do, on
// that with more to hold it by.
func (j *job) cutPlug(body *mesh.Mesh, ylo, yhi, lo, hi float64) string {
	f := &j.frame
	inner := j.inner.Mesh.Moved(j.f.Relative)
	side := j.f.Wide/2 + 3
	socket := mesh.NewTree(j.socket)
	j.plug = nil
	for _, end := range [2][2]float64{{lo, hi + handle}, {lo - handle, hi}} {
		reach := f.box(-side, side, ylo, yhi, end[0], end[1])
		if j.f.Round {
			reach = f.round(j.f.Wide/2+2, end[0], end[1])
		}
		whole, err := common(inner, reach, j.s.options())
		if err != nil {
			return err.Error()
		}
		if len(whole.T) == 0 {
			return "nothing of the inner part lies there"
		}
		out := f.z
		if end[0] < lo {
			out = r3.Scale(-1, f.z)
		}
		plug, _ := largest(whole)
		if (j.plug == nil || plug.Volume() > 1.02*j.plug.Volume()) && drawnOut(mesh.NewTree(plug), socket, out, hi-lo) {
			j.plug = plug
		}
	}
	if j.plug == nil {
		return "the plug cannot be drawn out straight along the way in which the parts slide"
	}
	return j.meet(socket, mesh.NewTree(j.plug), body)
}

// meet marks the faces of the hollow left by cutter and measures how near the two
// stand that were cut out; it tells what is wrong with that, "" if nothing.
func (j *job) meet(socket, plug *mesh.Tree, cutter *mesh.Mesh) string {
	j.marked = hollow(j.socket, mesh.NewTree(cutter), plug)
	if !slices.Contains(j.marked, true) {
		return "no face of the hollow is left after cutting it out"
	}
	if j.gap, _, _ = socket.Distance(plug, geom.Identity(), math.Inf(1)); j.gap < 0.02 {
		return "the parts touch there as drawn"
	}
	return ""
}

// drawnOut tells whether a plug stays clear of its socket while it is drawn out
// along dir by the socket's depth, looked at every half a millimetre.
func drawnOut(plug, socket *mesh.Tree, dir geom.Vec, depth float64) bool {
	for t := 0.0; t < depth+0.5; t += 0.5 {
		if d, _, _ := plug.Distance(socket, geom.Translation(r3.Scale(t, dir)), 0.05); d < 0.02 {
			return false
		}
	}
	return true
}

// ladder gives the gaps a side: below the drawn one in steps of 0.05, the drawn
// one, and one above; or those asked for. Gaps at which the two would touch as
// drawn are left out.
func (j *job) ladder() []float64 {
	gaps := j.s.Gaps
	if gaps == nil {
		drawn := math.Round(j.f.Gap*100) / 100
		gaps = []float64{drawn - 0.15, drawn - 0.10, drawn - 0.05, drawn, drawn + 0.10}
	}
	var out []float64
	for _, g := range gaps {
		if j.gap+g-j.f.Gap >= 0.03 && g <= j.f.Gap+0.4 {
			out = append(out, math.Round(g*100)/100)
		}
	}
	return out
}
