package printable

import (
	"math"
	"sort"

	"feint/internal/geom"
)

// rim is an edge of a patch seen from above; bank tells that the part goes on
// downwards there, so that a line can rest on it.
type rim struct {
	a, b flat
	bank bool
}

// border lists the edges of a patch, each once, with the patch on the left as
// seen from below.
func (l *laid) border(p *Patch) []rim {
	in := make(map[int32]bool, len(p.Triangles))
	for _, t := range p.Triangles {
		in[int32(t)] = true
	}
	var out []rim
	for _, i := range p.Triangles {
		t := l.m.T[i]
		for k, n := range l.beside[i] {
			if n >= 0 && in[n] {
				continue
			}
			a, b := l.m.V[t[k]], l.m.V[t[(k+1)%3]]
			r := rim{a: flat{a.X, a.Y}, b: flat{b.X, b.Y}}
			if n >= 0 {
				r.bank = l.apex(int(n), t[k], t[(k+1)%3]) < min(a.Z, b.Z)-touching
			}
			out = append(out, r)
		}
	}
	return out
}

// apex is the height of the corner of triangle n that is neither a nor b.
func (l *laid) apex(n int, a, b int32) float64 {
	for _, v := range l.m.T[n] {
		if v != a && v != b {
			return l.m.V[v].Z
		}
	}
	return math.Inf(1)
}

const (
	// headings that a bridge is tried in, beside those of its edges.
	headings = 24
	// lines that are drawn across a bridge to try it. The longest of so many
	// misses the longest of all by less than its width over this.
	lines = 96
	// loose is the share of lines that may end in the air: those that run along
	// an edge within rounding.
	loose = 0.02
)

// bridge finds the heading in which all lines across a patch end on banks and the
// longest is shortest. ok is false if there is none.
func bridge(border []rim) (best Bridge, ok bool) {
	best.Span = math.Inf(1)
	for _, d := range tried(border) {
		if span, held := across(border, d); held && span < best.Span {
			best, ok = Bridge{Span: span, Dir: geom.Vec{X: d.x, Y: d.y}}, true
		}
	}
	return best, ok
}

// tried lists headings: across the longest edges first, then evenly round.
func tried(border []rim) []flat {
	long := append([]rim(nil), border...)
	sort.SliceStable(long, func(i, j int) bool { return long[i].b.sub(long[i].a).length() > long[j].b.sub(long[j].a).length() })
	var out []flat
	for i := 0; i < len(long) && i < 8; i++ {
		e := long[i].b.sub(long[i].a)
		if n := e.length(); n > 0 {
			out = append(out, flat{-e.y / n, e.x / n})
		}
	}
	for k := range headings {
		s, c := math.Sincos(math.Pi * float64(k) / headings)
		out = append(out, flat{c, s})
	}
	return out
}

// across draws lines along d over the patch and tells the longest, and whether
// all of them rest on banks at both ends.
func across(border []rim, d flat) (span float64, held bool) {
	n := flat{-d.y, d.x}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range border {
		lo, hi = min(lo, r.a.dot(n), r.b.dot(n)), max(hi, r.a.dot(n), r.b.dot(n))
	}
	type end struct {
		at   float64
		bank bool
	}
	all, bad := 0, 0
	for k := range lines {
		at := lo + (hi-lo)*(float64(k)+0.5)/lines
		var ends []end
		for _, r := range border {
			u, v := r.a.dot(n)-at, r.b.dot(n)-at
			if (u > 0) == (v > 0) {
				continue
			}
			f := u / (u - v)
			ends = append(ends, end{r.a.dot(d) + f*(r.b.dot(d)-r.a.dot(d)), r.bank})
		}
		sort.Slice(ends, func(i, j int) bool { return ends[i].at < ends[j].at })
		for i := 0; i+1 < len(ends); i += 2 {
			all++
			if !ends[i].bank || !ends[i+1].bank {
				bad++
			}
			span = max(span, ends[i+1].at-ends[i].at)
		}
	}
	return span, all > 0 && float64(bad) <= loose*float64(all)
}
