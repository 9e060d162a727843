package gauge

import (
	"errors"
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// A hollow wider than widest is no small print. Of it a section is cut: two facing
// pieces of its walls, held at their distance by a bar below, and of the inner part
// the two pieces that run on them, held by a bar above.

const (
	// foot is how far the plug ends above the lower bar, mm: more than facing, so that
	// the bar is no face of the hollow.
	foot = 1.2
	// into is how far the plug's bar reaches down between the pieces that it holds, mm.
	into = 1.0
	// apart is how far the bars stay inside the inner part's faces, mm.
	apart = 1.5
)

// section is the size of a section, mm: half as wide as the socket's walls are, and how
// thick its bars are.
type section struct{ half, bar float64 }

// sizes are tried in turn, the stiffest first.
func sizes() []section { return []section{{4, 2.4}, {3, 2}, {2.5, 1.6}} }

// sections tries sections of a wide fit.
func (j *job) sections() (*Gauge, string) {
	if why := j.placeSection(); why != "" {
		return nil, why
	}
	why := ""
	for _, c := range sizes() {
		if why = j.cutSection(c); why != "" {
			continue
		}
		for rungs := j.ladder(); len(rungs) >= leastRungs; rungs = j.fewer(rungs) {
			g, fault := j.assemble(rungs)
			if g != nil {
				g.Title = "section across " + g.Title
				g.Notes = append(g.Notes, fmt.Sprintf("a section %.0f mm wide across a hollow of %.1f mm: it tells the gap from wall to wall, not whether the whole prints round or straight", 2*c.half, j.f.Wide))
				return g, ""
			}
			why = fault
		}
	}
	return nil, why
}

// placeSection finds the frame of a section: of a round hollow the one across the
// plate, and the bar below on the plate where the way in stands upright.
func (j *job) placeSection() string {
	if why := j.place(); why != "" {
		return why
	}
	f := &j.frame
	up := j.outer.Print.Turn(f.z)
	if j.f.Round && math.Abs(up.Z) < 0.9 {
		inv := j.outer.Print.Inverse()
		x := r3.Cross(inv.Turn(geom.Vec{Z: 1}), f.z)
		f.x = r3.Unit(x)
		f.y = r3.Cross(f.z, f.x)
	}
	if up.Z < -0.1 {
		f.z, f.y = r3.Scale(-1, f.z), r3.Scale(-1, f.y)
	}
	return ""
}

// cutSection cuts both parts.
func (j *job) cutSection(c section) string {
	f := &j.frame
	lo, hi := j.extent(f.z)
	mid := (lo + hi) / 2
	lo, hi = max(lo-0.5, mid-deep/2), min(hi+0.5, mid+deep/2)
	if hi-lo < foot+into+1 {
		return fmt.Sprintf("the hollow guides over %.1f mm only; a section needs %.1f", hi-lo, foot+into+1)
	}
	ymid := 0.0
	if !j.f.Round {
		ylo, yhi := j.extent(f.y)
		if ymid = (ylo + yhi) / 2; yhi-ylo < 2*c.half {
			c.half = max(1.5, (yhi-ylo)/2)
		}
	}
	r := j.f.Wide / 2
	inside := r - j.f.Gap - apart // of the inner part's faces
	if j.f.Round {
		inside -= r - math.Sqrt(r*r-c.half*c.half)
	}
	cutter := f.box(-r-wall, r+wall, ymid-c.half, ymid+c.half, lo, hi)
	walls, err := j.kept(j.outer.Mesh, []*mesh.Mesh{
		f.box(-r-wall, -inside, ymid-c.half, ymid+c.half, lo, hi), f.box(inside, r+wall, ymid-c.half, ymid+c.half, lo, hi),
	}, f.box(-r-wall, r+wall, ymid-c.half, ymid+c.half, lo-c.bar, lo))
	if err != nil {
		return "the walls, cut out: " + err.Error()
	}
	narrow := c.half - 0.5
	plug, err := j.kept(j.inner.Mesh.Moved(j.f.Relative), []*mesh.Mesh{
		f.box(-r, -inside+2, ymid-narrow, ymid+narrow, lo+foot, hi), f.box(inside-2, r, ymid-narrow, ymid+narrow, lo+foot, hi),
	}, f.box(-inside, inside, ymid-narrow, ymid+narrow, hi-into, hi+c.bar+1))
	if err != nil {
		return "the inner part, cut out: " + err.Error()
	}
	j.socket, j.plug = walls, plug
	return j.fitSection(cutter, hi-lo)
}

// kept is what the boxes leave of a part, held together by a bar.
func (j *job) kept(part *mesh.Mesh, boxes []*mesh.Mesh, bar *mesh.Mesh) (*mesh.Mesh, error) {
	all := []*mesh.Mesh{bar}
	for _, b := range boxes {
		m, err := common(part, b, j.s.options())
		if err != nil {
			return nil, err
		}
		if len(m.T) == 0 {
			return nil, errors.New("nothing of it lies on one side of the hollow")
		}
		all = append(all, m)
	}
	m, err := joined(all, j.s.options())
	if err != nil {
		return nil, err
	}
	out, lost := largest(m)
	if lost > 0.02 {
		return nil, errors.New("the bar does not hold its pieces together")
	}
	if h := harm(out); h != "" {
		return nil, errors.New(h)
	}
	return out, nil
}

// fitSection looks for the hollow's faces and the gap.
func (j *job) fitSection(cutter *mesh.Mesh, depth float64) string {
	socket, plug := mesh.NewTree(j.socket), mesh.NewTree(j.plug)
	if !drawnOut(plug, socket, j.frame.z, depth) {
		return "the section of the inner part cannot be drawn out of that of the outer"
	}
	if wrong := j.meet(socket, plug, cutter); wrong != "" {
		return wrong
	}
	if j.gap > j.f.Gap+0.1 {
		return fmt.Sprintf("cut out, the two stand %.2f mm apart and not the gap of the fit", j.gap)
	}
	return ""
}
