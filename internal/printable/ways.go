package printable

import (
	"fmt"
	"math"
	"sort"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// wayUp measures a part in one orientation.
func wayUp(p *Piece, name string, up geom.Motion, beside [][3]int32, d detail, s *Settings) WayUp {
	l := lay(p.Mesh, up, beside)
	w := WayUp{Name: name, Up: geom.Motion{R: up.R}, Size: l.size, Contact: l.contact(), Stands: l.stands()}
	w.Over, w.Fits = l.fits(s.Bed)
	w.Patches = l.patches(s)
	l.props(w.Patches, p.Slides, d.grain())
	high := 0.0
	for i := range w.Patches {
		q := &w.Patches[i]
		w.Overhang += q.Area
		w.Support += q.Support
		w.InSlide += q.InSlide
		high = max(high, q.Height)
		if q.Bridge != nil && !q.Supported {
			w.LongSpan = max(w.LongSpan, q.Bridge.Span)
		}
	}
	w.Estimate = costOf([]*mesh.Mesh{l.m}, w.Support, high, p.Density, d.stride(), s)
	return w
}

// candidate is a way up that is worth a look.
type candidate struct {
	name string
	up   geom.Motion
}

const (
	// mostFacets of the hull that are tried, the largest.
	mostFacets = 10
	// leastFacet is the share of the largest facet below which a part would stand
	// on an edge.
	leastFacet = 0.05
)

// candidates are the six faces and the flat faces of the convex hull, each once,
// none that differs from the given way up by a turn about the upright only.
func candidates(m *mesh.Mesh, given geom.Motion) []candidate {
	taken := []geom.Vec{downOf(given)}
	var out []candidate
	try := func(name string, down geom.Vec) {
		for _, t := range taken {
			if r3.Dot(t, down) > math.Cos(sameFacet) {
				return
			}
		}
		taken = append(taken, down)
		out = append(out, candidate{name, turning(down)})
	}
	for _, c := range []struct {
		name string
		down geom.Vec
	}{
		{"-z down", geom.Vec{Z: -1}},
		{"+z down", geom.Vec{Z: 1}},
		{"-x down", geom.Vec{X: -1}},
		{"+x down", geom.Vec{X: 1}},
		{"-y down", geom.Vec{Y: -1}},
		{"+y down", geom.Vec{Y: 1}},
	} {
		try(c.name, c.down)
	}
	fs := facets(m.V)
	for i, f := range fs {
		if i >= mostFacets || f.Area < leastFacet*fs[0].Area {
			break
		}
		try(fmt.Sprintf("the flat of %.0f mm2 that looks towards (%.2f, %.2f, %.2f) down", f.Area, f.Normal.X+0, f.Normal.Y+0, f.Normal.Z+0), f.Normal)
	}
	return out
}

// downOf is the direction of the part as drawn that points to the plate.
func downOf(up geom.Motion) geom.Vec {
	inv := geom.Motion{R: up.R}
	inv = inv.Inverse()
	return inv.Turn(geom.Vec{Z: -1})
}

// turning is the shortest turn that brings the unit direction down to -z.
func turning(down geom.Vec) geom.Motion {
	to := geom.Vec{Z: -1}
	axis := r3.Cross(down, to)
	s, c := r3.Norm(axis), r3.Dot(down, to)
	if s < 1e-12 {
		if c > 0 {
			return geom.Identity()
		}
		return geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, math.Pi)
	}
	return geom.Rotation(geom.Line{Dir: r3.Scale(1/s, axis)}, math.Atan2(s, c))
}

const (
	// leastContact is the area on the plate below which a part comes off it, mm2:
	// a square of 5 mm (common practice, no source).
	leastContact = 25
	// cleaning is what taking a support off costs, minutes for each cm2 of face
	// that it touched (common practice, no source).
	cleaning = 2
)

// price is what a way up is compared by: worse first by what spoils the part,
// then by minutes.
type price struct {
	fits, stands bool
	inSlide      float64 // classes of sliding face under supports, see spoilt
	minutes      float64
}

func priceOf(w *WayUp) price {
	held := 0.0
	for i := range w.Patches {
		if w.Patches[i].Supported {
			held += w.Patches[i].Area
		}
	}
	return price{
		fits: w.Fits, stands: w.Stands && w.Contact >= leastContact,
		inSlide: spoilt(w.InSlide),
		minutes: w.Estimate.Minutes + cleaning*held/100,
	}
}

// spoilt puts areas of sliding face under supports into classes, so that a trifle
// decides nothing: none below 5 mm2, then one class more for every quarter more.
func spoilt(area float64) float64 {
	if area < 5 {
		return 0
	}
	return 1 + math.Floor(math.Log(area/5)/math.Log(1.25))
}

func (a price) better(b price) bool {
	switch {
	case a.fits != b.fits:
		return a.fits
	case a.inSlide != b.inSlide:
		return a.inSlide < b.inSlide
	case a.stands != b.stands:
		return a.stands
	}
	return a.minutes < b.minutes
}

// worthIt is how much faster another way up must be to be offered in place of the
// drawn one where nothing else speaks for it: a tenth, the error of the estimate.
const worthIt = 0.9

// muchSupport is the room for supports that is worth a change if more than half of
// it goes, mm3: a cube of 8 mm (common practice, no source).
const muchSupport = 500

// slideTrifle is a difference of sliding face under supports that decides nothing and
// is not told, mm2: half of the area from which spoilt begins to count.
const slideTrifle = 2.5

// compare sorts the ways, best first, and tells whether the first is worth a
// change, and why.
func compare(given *WayUp, ways []WayUp) (best int, why []string) {
	sort.SliceStable(ways, func(i, j int) bool { return priceOf(&ways[i]).better(priceOf(&ways[j])) })
	if len(ways) == 0 {
		return -1, []string{"no other way up was found"}
	}
	a, b := priceOf(&ways[0]), priceOf(given)
	if !a.better(b) {
		return -1, whyDrawn(given, ways)
	}
	same := a.fits == b.fits && a.stands == b.stands && ways[0].InSlide+slideTrifle >= given.InSlide
	clean := ways[0].Support < given.Support/2 && given.Support-ways[0].Support > muchSupport
	if same && !clean && a.minutes > worthIt*b.minutes {
		if ways[0].Estimate.Minutes > given.Estimate.Minutes-0.5 {
			return -1, []string{"no other way up saves a tenth of the time"}
		}
		return -1, []string{fmt.Sprintf("%s would save %.0f min by the estimate, less than a tenth", ways[0].Name, given.Estimate.Minutes-ways[0].Estimate.Minutes)}
	}
	return 0, reasons(&ways[0], given)
}

// reasons tells what the way a has over b.
func reasons(a, b *WayUp) []string {
	var why []string
	add := func(format string, v ...any) { why = append(why, fmt.Sprintf(format, v...)) }
	switch {
	case a.Fits && !b.Fits:
		add("it fits the bed, which %s misses by %.1f mm", b.Name, b.Over)
	case a.InSlide+slideTrifle < b.InSlide:
		add("supports touch %.0f mm2 of sliding faces, %s %.0f mm2", a.InSlide, b.Name, b.InSlide)
	case priceOf(a).stands && !priceOf(b).stands:
		add("it stands on %.0f mm2, %s on %.0f mm2 or not at all", a.Contact, b.Name, b.Contact)
	}
	if d := b.Support - a.Support; math.Abs(d) > 10 {
		add("%.0f mm3 %s room for supports", math.Abs(d), lessOrMore(d))
	}
	if d := b.Estimate.Minutes - a.Estimate.Minutes; math.Abs(d) > 0.5 {
		add("%.0f min %s by the estimate", math.Abs(d), lessOrMore(d))
	}
	return why
}

func lessOrMore(d float64) string {
	if d > 0 {
		return "less"
	}
	return "more"
}

// whyDrawn tells why the drawn way up is kept.
func whyDrawn(given *WayUp, ways []WayUp) []string {
	if why := reasons(given, &ways[0]); len(why) > 0 {
		for i := range why {
			why[i] = "against " + ways[0].Name + ": " + why[i]
		}
		return why
	}
	return []string{"no other way up saves a tenth of the time"}
}
