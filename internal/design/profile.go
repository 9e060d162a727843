package design

import (
	"math"
	"slices"

	"feint/internal/mechanism"
)

// counterClockwise gives the loop so that the figure lies to its left.
func counterClockwise(loop []mechanism.ProfilePoint) []mechanism.ProfilePoint {
	if area(loop) < 0 {
		return reversed(loop)
	}
	return loop
}

// reversed gives the loop the other way round.
func reversed(loop []mechanism.ProfilePoint) []mechanism.ProfilePoint {
	r := slices.Clone(loop)
	slices.Reverse(r)
	// the edge after corner i of the reversed loop is the one before it of the loop
	n := len(loop)
	for i := range r {
		r[i].Bulge = -loop[(2*n-2-i)%n].Bulge
	}
	return r
}

// area is the area within a loop, negative for a clockwise one: that of the
// polygon, and of the segments between arcs and chords, r^2 (t - sin t)/2 with t
// the angle of the arc. Rounded corners are taken as sharp.
func area(loop []mechanism.ProfilePoint) float64 {
	sum := 0.0
	for i, p := range loop {
		q := loop[(i+1)%len(loop)]
		sum += (p.X*q.Y - q.X*p.Y) / 2
		if p.Bulge != 0 {
			t := 4 * math.Atan(p.Bulge)
			chord := math.Hypot(q.X-p.X, q.Y-p.Y)
			r := chord / 2 / math.Sin(t/2)
			sum += r * r * (t - math.Sin(t)) / 2
		}
	}
	return sum
}

// leastX is the least x of a figure, arcs included. Rounded corners are taken
// as sharp.
func leastX(p mechanism.Profile) float64 {
	least := math.Inf(1)
	for _, loop := range p.Loops {
		for i, a := range loop {
			least = min(least, a.X)
			if a.Bulge == 0 {
				continue
			}
			b := loop[(i+1)%len(loop)]
			// centre of the arc: from the middle of the chord, to its left
			k := (1 - a.Bulge*a.Bulge) / (4 * a.Bulge)
			cx, cy := (a.X+b.X)/2-k*(b.Y-a.Y), (a.Y+b.Y)/2+k*(b.X-a.X)
			r := math.Hypot(a.X-cx, a.Y-cy)
			from := math.Atan2(a.Y-cy, a.X-cx)
			turn := 4 * math.Atan(a.Bulge)
			if d := math.Mod(math.Pi-from+4*math.Pi, 2*math.Pi); d < turn || 2*math.Pi-d < -turn {
				least = min(least, cx-r)
			}
		}
	}
	return least
}

// minArea is the least area of a figure, mm2: less than a printer's dot.
const minArea = 1e-4

// checkLoop reports a loop that bounds no figure.
func (c *call) checkLoop(name string, loop []mechanism.ProfilePoint) {
	n := len(loop)
	curved := slices.ContainsFunc(loop, func(p mechanism.ProfilePoint) bool { return p.Bulge != 0 })
	if n < 2 || (n == 2 && !curved) {
		c.problem(name, "give three corners or more", "%s: %d corners make no figure", c.word.name, n)
		return
	}
	for i, p := range loop {
		if q := loop[(i+1)%n]; p.X == q.X && p.Y == q.Y {
			c.problem(name, "remove one; the outline closes by itself", "%s: corners %d and %d are the same point", c.word.name, i+1, (i+1)%n+1)
			return
		}
	}
	if i, j := crossing(loop); i >= 0 {
		c.problem(name, "check the order of the corners", "%s: the edge after corner %d crosses the edge after corner %d", c.word.name, i+1, j+1)
		return
	}
	if math.Abs(area(loop)) < minArea {
		c.problem(name, "check the corners", "%s: the figure has no area", c.word.name)
		return
	}
	c.checkRounds(name, loop)
}

// checkRounds reports rounded corners that do not fit on their edges: a corner
// that turns by t takes r tan(t/2) of both.
func (c *call) checkRounds(name string, loop []mechanism.ProfilePoint) {
	n := len(loop)
	need := make([]float64, n)
	for i, p := range loop {
		if p.Round == 0 {
			continue
		}
		o, q := loop[(i+n-1)%n], loop[(i+1)%n]
		if o.Bulge != 0 || p.Bulge != 0 {
			c.problem(name, "round only corners between two straight edges", "%s: corner %d is rounded, but an edge beside it is an arc", c.word.name, i+1)
			return
		}
		ax, ay, bx, by := p.X-o.X, p.Y-o.Y, q.X-p.X, q.Y-p.Y
		t := math.Abs(math.Atan2(ax*by-ay*bx, ax*bx+ay*by))
		need[i] = p.Round * math.Tan(t/2)
	}
	for i, p := range loop {
		j := (i + 1) % n
		q := loop[j]
		if room := math.Hypot(q.X-p.X, q.Y-p.Y); p.Bulge == 0 && need[i]+need[j] > room*(1+1e-9) {
			c.problem(name, "make the radius smaller", "%s: the rounded corners %d and %d need %s mm of an edge of %s mm", c.word.name, i+1, j+1, num(need[i]+need[j]), num(room))
			return
		}
	}
}

// crossing finds two straight edges of a loop that cross each other, -1 if
// there are none. Above maxCompared corners it does not look.
func crossing(loop []mechanism.ProfilePoint) (int, int) {
	const maxCompared = 1000
	n := len(loop)
	if n > maxCompared {
		return -1, -1
	}
	side := func(a, b, p mechanism.ProfilePoint) float64 {
		return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
	}
	for i := range loop {
		a, b := loop[i], loop[(i+1)%n]
		for j := i + 2; j < n; j++ {
			c, d := loop[j], loop[(j+1)%n]
			if a.Bulge != 0 || c.Bulge != 0 || (j+1)%n == i {
				continue
			}
			if side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0 {
				return i, j
			}
		}
	}
	return -1, -1
}
