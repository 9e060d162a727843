package printable

import "sort"

// hull2 is the convex hull of points, counter-clockwise, without corners on its
// sides (A. Andrew, Information Processing Letters 9 (1979)).
func hull2(pts []flat) []flat {
	p := append([]flat(nil), pts...)
	sort.Slice(p, func(i, j int) bool {
		if p[i].x != p[j].x {
			return p[i].x < p[j].x
		}
		return p[i].y < p[j].y
	})
	if len(p) < 3 {
		return p
	}
	half := func(p []flat) []flat {
		var h []flat
		for _, q := range p {
			for len(h) > 1 && h[len(h)-1].sub(h[len(h)-2]).cross(q.sub(h[len(h)-1])) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	low := half(p)
	for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
		p[i], p[j] = p[j], p[i]
	}
	return append(low, half(p)...)
}
