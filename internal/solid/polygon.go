package solid

import (
	"math"
	"slices"
)

// point is a point of a plane, mm.
type point struct{ x, y float64 }

func (p point) add(q point) point          { return point{p.x + q.x, p.y + q.y} }
func (p point) sub(q point) point          { return point{p.x - q.x, p.y - q.y} }
func (p point) scale(k float64) point      { return point{k * p.x, k * p.y} }
func (p point) length() float64            { return math.Hypot(p.x, p.y) }
func cross2(a, b point) float64            { return a.x*b.y - a.y*b.x }
func dot2(a, b point) float64              { return a.x*b.x + a.y*b.y }
func turn(a, b, c point) float64           { return cross2(b.sub(a), c.sub(a)) }
func polar(r, a float64) point             { s, c := math.Sincos(a); return point{r * c, r * s} }
func mix(a, b point, t float64) point      { return a.scale(1 - t).add(b.scale(t)) }
func same(a, b point, within float64) bool { return a.sub(b).length() <= within } //nolint:unparam // the callers say what counts as the same

// area is the signed area of a loop, positive counter-clockwise.
func area(l []point) float64 {
	a := 0.0
	for i, p := range l {
		a += cross2(p, l[(i+1)%len(l)])
	}
	return a / 2
}

// orient makes the first loop counter-clockwise and the others clockwise.
func orient(loops [][]point) {
	for i, l := range loops {
		if (area(l) > 0) != (i == 0) {
			slices.Reverse(l)
		}
	}
}

// triangulate divides the region between the first loop, counter-clockwise, and
// the holes, clockwise, into triangles by cutting ears (D. Eberly, Triangulation
// by ear clipping, 2002). Indices count the points of all loops in order.
func triangulate(loops [][]point) [][3]int {
	var at []point
	ids := make([][]int, len(loops))
	for i, l := range loops {
		for _, p := range l {
			ids[i] = append(ids[i], len(at))
			at = append(at, p)
		}
	}
	ring := ids[0]
	holes := ids[1:]
	right := func(h []int) int { // index in h of the rightmost point
		k := 0
		for i, v := range h {
			if at[v].x > at[h[k]].x || at[v].x == at[h[k]].x && at[v].y < at[h[k]].y {
				k = i
			}
		}
		return k
	}
	slices.SortStableFunc(holes, func(a, b []int) int {
		switch x, y := at[a[right(a)]].x, at[b[right(b)]].x; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	for _, h := range holes {
		ring = bridge(at, ring, h, right(h))
	}
	return ears(at, ring)
}

// bridge joins the hole h to the ring by a double edge from its rightmost point.
func bridge(at []point, ring, h []int, k int) []int {
	m := at[h[k]]
	best, hit, x := -1, point{}, math.Inf(1)
	for i, v := range ring {
		a, b := at[v], at[ring[(i+1)%len(ring)]]
		if (a.y > m.y) == (b.y > m.y) && a.y != m.y && b.y != m.y || a.y == b.y {
			continue
		}
		t := (m.y - a.y) / (b.y - a.y)
		if t < 0 || t > 1 {
			continue
		}
		if c := a.x + t*(b.x-a.x); c >= m.x && c < x && b.y >= a.y {
			x, hit = c, point{c, m.y}
			best = i
			// an end of the edge on the ray is seen from m, or else the end further right
			if b.y == m.y || a.y != m.y && b.x > a.x {
				best = (i + 1) % len(ring)
			}
		}
	}
	if best < 0 { // only for loops that cross, which are refused before
		return ring
	}
	// of the reflex points within m-hit-p the one nearest to the ray sees m
	p := at[ring[best]]
	if p.y != m.y {
		cos := -1.0
		for i, v := range ring {
			q := at[v]
			if q == p || q.x < m.x || !within(q, m, hit, p) {
				continue
			}
			prev, next := at[ring[(i+len(ring)-1)%len(ring)]], at[ring[(i+1)%len(ring)]]
			if turn(prev, q, next) > 0 {
				continue
			}
			if c := (q.x - m.x) / q.sub(m).length(); c > cos {
				cos, best = c, i
			}
		}
	}
	best = facing(at, ring, best, m)
	out := append([]int{}, ring[:best+1]...)
	out = append(out, h[k:]...)
	out = append(out, h[:k+1]...)
	return append(out, ring[best:]...)
}

// facing is where in the ring the point at ring[k] has m in the angle of its
// interior: a point to which holes are joined stands in the ring once for each of
// them, and a second edge from the wrong one would cross the first.
func facing(at []point, ring []int, k int, m point) int {
	n := len(ring)
	for i, v := range ring {
		q := at[v]
		if q != at[ring[k]] {
			continue
		}
		prev, next := at[ring[(i+n-1)%n]], at[ring[(i+1)%n]]
		left, right := turn(prev, q, m) > 0, turn(q, next, m) > 0
		if turn(prev, q, next) > 0 && left && right || turn(prev, q, next) <= 0 && (left || right) {
			return i
		}
	}
	return k
}

// within tells whether q lies in or on the triangle a b c of either sense.
func within(q, a, b, c point) bool {
	s, t, u := turn(a, b, q), turn(b, c, q), turn(c, a, q)
	return (s >= 0 && t >= 0 && u >= 0) || (s <= 0 && t <= 0 && u <= 0)
}

func ears(at []point, ring []int) [][3]int {
	ring = slices.Clone(ring)
	var out [][3]int
	for i, idle := 0, 0; len(ring) > 3 && idle <= 2*len(ring); {
		n := len(ring)
		i %= n
		a, b, c := ring[(i+n-1)%n], ring[i], ring[(i+1)%n]
		// in the second round take what is left: a flat ear has no area
		if !ear(at, ring, a, b, c) && (idle < n || turn(at[a], at[b], at[c]) != 0) {
			i, idle = i+1, idle+1
			continue
		}
		out = append(out, [3]int{a, b, c})
		ring = slices.Delete(ring, i, i+1)
		idle = 0
		if i%2 == 0 { // not always from one point, which would make a fan
			i++
		}
	}
	return append(out, [3]int{ring[0], ring[1], ring[2]})
}

func ear(at []point, ring []int, a, b, c int) bool {
	p, q, r := at[a], at[b], at[c]
	if turn(p, q, r) <= 0 {
		return false
	}
	for _, v := range ring {
		if x := at[v]; x != p && x != q && x != r && within(x, p, q, r) {
			return false
		}
	}
	return true
}
