package solid

import (
	"cmp"
	"fmt"
	"slices"
)

// chord is an edge of a loop.
type chord struct {
	a, b    point
	loop, i int
	n       int
}

// simple checks that no loop crosses or touches itself or another, that each
// bounds some area and that all but the first lie inside the first and outside
// each other.
func simple(ls [][]point) error {
	var cs []chord
	for k, l := range ls {
		for i, p := range l {
			cs = append(cs, chord{p, l[(i+1)%len(l)], k, i, len(l)})
		}
	}
	if c, d, ok := crossing(cs); ok {
		where := fmt.Sprintf("near (%.4g, %.4g)", c.a.x, c.a.y)
		if c.loop == d.loop {
			return fmt.Errorf("loop %d of the profile crosses or touches itself %s: move its points apart", c.loop+1, where)
		}
		return fmt.Errorf("loops %d and %d of the profile cross or touch %s: move the hole", c.loop+1, d.loop+1, where)
	}
	for k, l := range ls {
		if a := area(l); a < tiny && a > -tiny {
			return fmt.Errorf("loop %d of the profile bounds no area: its points lie on a line", k+1)
		}
		for j, m := range ls {
			if k == 0 || j == k {
				continue
			}
			if in := inside(m, l[0]); in != (j == 0) {
				if j == 0 {
					return fmt.Errorf("loop %d of the profile lies outside loop 1: the first loop is the outside, the others are holes", k+1)
				}
				return fmt.Errorf("loop %d of the profile lies inside the hole of loop %d: draw it as a shape of its own", k+1, j+1)
			}
		}
	}
	return nil
}

// crossing finds two edges that meet and are not neighbours.
func crossing(cs []chord) (c, d chord, found bool) {
	slices.SortStableFunc(cs, func(a, b chord) int { return cmp.Compare(min(a.a.x, a.b.x), min(b.a.x, b.b.x)) })
	for i, a := range cs {
		hi := max(a.a.x, a.b.x)
		for _, b := range cs[i+1:] {
			if min(b.a.x, b.b.x) > hi {
				break
			}
			if a.loop == b.loop {
				if a.n == 2 {
					continue
				}
				if (a.i+1)%a.n == b.i {
					if back(a.a, a.b, b.b) {
						return a, b, true
					}
					continue
				}
				if (b.i+1)%b.n == a.i {
					if back(b.a, b.b, a.b) {
						return a, b, true
					}
					continue
				}
			}
			if meet(a.a, a.b, b.a, b.b) {
				return a, b, true
			}
		}
	}
	return c, d, false
}

// back tells whether the way a-b-c turns straight back.
func back(a, b, c point) bool { return turn(a, b, c) == 0 && dot2(b.sub(a), c.sub(b)) < 0 }

// meet tells whether the segments ab and cd have a point in common.
func meet(a, b, c, d point) bool {
	s, t := turn(a, b, c), turn(a, b, d)
	u, v := turn(c, d, a), turn(c, d, b)
	if s == 0 && t == 0 && u == 0 && v == 0 {
		return max(min(a.x, b.x), min(c.x, d.x)) <= min(max(a.x, b.x), max(c.x, d.x)) &&
			max(min(a.y, b.y), min(c.y, d.y)) <= min(max(a.y, b.y), max(c.y, d.y))
	}
	return !(s > 0 && t > 0 || s < 0 && t < 0) && !(u > 0 && v > 0 || u < 0 && v < 0)
}

// inside tells whether p lies inside the loop (crossings of a ray).
func inside(l []point, p point) bool {
	in := false
	for i, a := range l {
		b := l[(i+1)%len(l)]
		if (a.y > p.y) != (b.y > p.y) && p.x < a.x+(p.y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	}
	return in
}
