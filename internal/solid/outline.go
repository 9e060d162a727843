package solid

import (
	"fmt"
	"math"

	"feint/internal/field"
	"feint/internal/mechanism"
)

// tiny is the length under which two drawn points are one, mm: a sixteenth of
// the grid of the arrangement (2^-16 mm).
const tiny = 1e-6

// outline is the profile with its corner rounds turned into arcs.
func outline(p mechanism.Profile) ([][]field.Corner, error) {
	if len(p.Loops) == 0 {
		return nil, fmt.Errorf("the profile has no loop: give at least one closed figure")
	}
	var out [][]field.Corner
	for i, l := range p.Loops {
		loop, err := rounded(l)
		if err != nil {
			return nil, fmt.Errorf("loop %d of the profile: %w", i+1, err)
		}
		out = append(out, loop)
	}
	return out, nil
}

func rounded(l []mechanism.ProfilePoint) ([]field.Corner, error) {
	n := len(l)
	if n < 2 {
		return nil, fmt.Errorf("%d points bound nothing: give at least 3, or 2 with an arc", n)
	}
	at := func(i int) point { q := l[(i+n)%n]; return point{q.X, q.Y} }
	cut := make([]float64, n) // length taken off both edges at a corner
	for i, q := range l {
		if !finite(q.X, q.Y, q.Bulge, q.Round) {
			return nil, fmt.Errorf("point %d is not a number: check the expression", i+1)
		}
		if same(at(i), at(i+1), tiny) {
			return nil, fmt.Errorf("points %d and %d coincide at (%g, %g): leave one out", i+1, (i+1)%n+1, q.X, q.Y)
		}
		if q.Round < 0 {
			return nil, fmt.Errorf("point %d has a negative round %g: give a radius", i+1, q.Round)
		}
		if q.Round == 0 {
			continue
		}
		if q.Bulge != 0 || l[(i+n-1)%n].Bulge != 0 {
			return nil, fmt.Errorf("point %d is rounded but meets an arc: rounds go between straight edges", i+1)
		}
		a := math.Abs(corner(at(i-1), at(i), at(i+1)))
		if math.Pi-a < 1e-6 {
			return nil, fmt.Errorf("the outline turns straight back at point %d: it cannot be rounded", i+1)
		}
		cut[i] = q.Round * math.Tan(a/2)
	}
	var out []field.Corner
	for i, q := range l {
		if e, c := at(i+1).sub(at(i)).length(), cut[i]+cut[(i+1)%n]; c > e+tiny {
			return nil, fmt.Errorf("the rounds of points %d and %d need %.4g mm of an edge of %.4g mm: make them smaller", i+1, (i+1)%n+1, c, e)
		}
		bulge := q.Bulge
		if math.Abs(bulge)*at(i+1).sub(at(i)).length() < 2*tiny { // an arc that rises by less than that is straight
			bulge = 0
		}
		out = append(out, roundCorner(at(i-1), at(i), at(i+1), bulge, cut[i])...)
	}
	return merged(out), nil
}

// corner is the angle by which the way a-b-c turns at b.
func corner(a, b, c point) float64 {
	u, v := b.sub(a), c.sub(b)
	return math.Atan2(cross2(u, v), dot2(u, v))
}

func roundCorner(a, b, c point, bulge, cut float64) []field.Corner {
	if cut == 0 {
		return []field.Corner{{X: b.x, Y: b.y, Bulge: bulge}}
	}
	from := mix(b, a, cut/a.sub(b).length())
	to := mix(b, c, cut/c.sub(b).length())
	return []field.Corner{{X: from.x, Y: from.y, Bulge: math.Tan(corner(a, b, c) / 4)}, {X: to.x, Y: to.y}}
}

// merged leaves out points that rounds of full length have put together.
func merged(l []field.Corner) []field.Corner {
	var out []field.Corner
	for i, c := range l {
		n := l[(i+1)%len(l)]
		if c.Bulge == 0 && math.Hypot(c.X-n.X, c.Y-n.Y) <= tiny {
			continue
		}
		out = append(out, c)
	}
	return out
}

func finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// polyline divides the arcs of a loop. Turned, the arcs keep the volume of the
// figure turned about x = 0, else its area.
func polyline(l []field.Corner, tol float64, turned bool) []point {
	var out []point
	for i, c := range l {
		n := l[(i+1)%len(l)]
		a := point{c.X, c.Y}
		out = append(out, a)
		if c.Bulge != 0 {
			out = append(out, newArc(a, point{n.X, n.Y}, c.Bulge).inner(tol, turned)...)
		}
	}
	return out
}

// arc is a circular arc about c from the angle from through sweep.
type arc struct {
	c           point
	r           float64
	from, sweep float64
}

func newArc(a, b point, bulge float64) arc {
	k := (1 - bulge*bulge) / (4 * bulge)
	d := b.sub(a)
	c := a.add(b).scale(0.5).add(point{-k * d.y, k * d.x})
	v := a.sub(c)
	return arc{c, v.length(), math.Atan2(v.y, v.x), 4 * math.Atan(bulge)}
}

// passes tells whether the arc passes through the direction a from its centre.
func (a arc) passes(dir float64) bool {
	d := (dir - a.from) * sign(a.sweep)
	return math.Mod(d+4*math.Pi, 2*math.Pi) <= math.Abs(a.sweep)
}

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

// pieces is the number of chords of an arc of radius r whose ends stay on it
// while the inner vertices move out until the area is kept: they come to lie
// r k t^2/(12 (k-1)) outside, t = sweep/k. (k chords lack k r^2 t^3/12 of area,
// and moving the k-1 inner vertices by e gives (k-1) r t e.)
func pieces(r, sweep, tol float64) int {
	sweep = math.Abs(sweep)
	if r*sweep < 1e-3 { // shorter than any print shows: sagitta under 1e-4 mm
		return 1
	}
	// not more than a quarter turn each; the estimate is good for small angles
	k := max(2, int(math.Ceil(sweep/1.6)), int(math.Sqrt(r*sweep*sweep/(12*tol))))
	for innerRadius(r, sweep, k)-r > tol {
		k++
	}
	return k
}

// inner are the vertices between the ends of the arc.
func (a arc) inner(tol float64, turned bool) []point {
	k := pieces(a.r, a.sweep, tol)
	at := func(r float64) []point {
		var ps []point
		for i := 1; i < k; i++ {
			ps = append(ps, a.c.add(polar(r, a.from+a.sweep*float64(i)/float64(k))))
		}
		return ps
	}
	if k == 1 {
		return nil
	}
	r := innerRadius(a.r, math.Abs(a.sweep), k)
	if turned {
		r = a.turnedRadius(r, at)
	}
	return at(r)
}

// innerRadius keeps the area of the sector: with t = sweep/k it solves
// ((k-2) r'^2 + 2 r r') sin t = k r^2 t.
func innerRadius(r, sweep float64, k int) float64 {
	t := sweep / float64(k)
	q := t / math.Sin(t)
	if k == 2 {
		return r * q
	}
	return r * (math.Sqrt(1+float64(k-2)*float64(k)*q) - 1) / float64(k-2)
}

// turnedRadius keeps the first moment of the sector about x = 0, and so, by
// Pappus, the volume of the figure turned about it; r is the first guess.
func (a arc) turnedRadius(r float64, at func(float64) []point) float64 {
	half := a.sweep / 2
	want := a.r * a.r * half * (a.c.x + 2*a.r*math.Sin(half)/(3*half)*math.Cos(a.from+half))
	miss := func(r float64) float64 {
		ps := append([]point{a.c.add(polar(a.r, a.from))}, at(r)...)
		ps = append(ps, a.c.add(polar(a.r, a.from+a.sweep)))
		m := 0.0
		for i := 1; i < len(ps); i++ {
			m += turn(a.c, ps[i-1], ps[i]) / 2 * (a.c.x + ps[i-1].x + ps[i].x) / 3
		}
		return m - want
	}
	x, fx := r, miss(r)
	y := r + (r - a.r)
	for range 20 { // secant; the moment is a quadratic of the radius, so a few steps do
		fy := miss(y)
		if fy == fx || math.Abs(y-x) < 1e-14*a.r {
			break
		}
		x, y, fx = y, y-fy*(y-x)/(fy-fx), fy
	}
	if !(math.Abs(y-r) <= math.Abs(r-a.r)) { // the arc hugs the axis: keep its area
		return r
	}
	return y
}

// loops are the divided loops of an outline, oriented, once they are known not
// to cross.
func loops(l [][]field.Corner, tol float64, turned bool) ([][]point, error) {
	var out [][]point
	for _, c := range l {
		out = append(out, polyline(c, tol, turned))
	}
	if err := simple(out); err != nil {
		return nil, err
	}
	orient(out)
	return out, nil
}
