package solid

import (
	"math"
	"testing"

	"feint/internal/mechanism"
)

// simpson integrates f from a to b (composite Simpson rule, 2000 panels).
func simpson(f func(float64) float64, a, b float64) float64 {
	const n = 2000
	h := (b - a) / n
	s := f(a) + f(b)
	for i := 1; i < n; i++ {
		s += f(a+float64(i)*h) * float64(2+2*(i%2))
	}
	return s * h / 3
}

// slot is the area between two circles about the origin, right of it, within
// -w/2 < y < w/2.
func slot(ri, ro, w float64) float64 {
	f := func(r float64) float64 { return w/2*math.Sqrt(r*r-w*w/4) + r*r*math.Asin(w/2/r) }
	return f(ro) - f(ri)
}

// pinned is the volume of a cylinder of diameter w along x between two cylinders
// about z.
func pinned(ri, ro, w float64) float64 {
	return simpson(func(psi float64) float64 { // a = w/2 sin psi: smooth at the ends
		a, c := w/2*math.Sin(psi), w/2*math.Cos(psi)
		return 2 * c * c * (math.Sqrt(ro*ro-a*a) - math.Sqrt(ri*ri-a*a))
	}, -math.Pi/2, math.Pi/2)
}

func path(uv ...float64) []mechanism.PathPoint {
	var p []mechanism.PathPoint
	for i := 0; i < len(uv); i += 2 {
		p = append(p, mechanism.PathPoint{U: uv[i], V: uv[i+1]})
	}
	return p
}

// Closed forms: areas by strips and discs times heights, ring sectors, the
// slot between two circles, one integral for a pin between two cylinders.
func TestGrooveVolumes(t *testing.T) {
	const w, d, r, o = 3.0, 2.0, 8.0, overshoot
	pi := math.Pi
	groove := func(on mechanism.Surface, round bool, roof mechanism.Section, uv ...float64) mechanism.Groove {
		return mechanism.Groove{On: on, R: r, Path: path(uv...), Width: w, Depth: d, Section: roof, RoundEnds: round}
	}
	sq, rf := mechanism.Square, mechanism.Roofed
	si, so := r-d, r+o // shaft
	bi, bo := r-o, r+d // bore
	h := d + o
	ring := func(lo, hi, angle float64) float64 { return w * angle * (hi*hi - lo*lo) / 2 }
	bend := pi/16*w*w - w*w/4 // a right angle: a quarter disc outside, less the corner that both strips hold
	cases := []struct {
		name   string
		g      mechanism.Groove
		volume float64
	}{
		{"flat", groove(mechanism.Flat, false, sq, 0, 0, 10, 0), 10 * w * h},
		{"flat, oblique, round", groove(mechanism.Flat, true, sq, 0, 0, 6, 8), (10*w + pi*w*w/4) * h},
		{"flat, bends", groove(mechanism.Flat, true, sq, 0, 0, 10, 0, 10, 10, 20, 10), (30*w + pi*w*w/4 + 2*bend) * h},
		{"flat, closed", groove(mechanism.Flat, true, sq, 0, 0, 20, 0, 20, 20, 0, 20, 0, 0), (80*w + 4*bend) * h},
		{"flat, closed in mid run", groove(mechanism.Flat, true, sq, 10, 0, 20, 0, 20, 20, 0, 20, 0, 0, 10, 0), (80*w + 4*bend) * h},
		{"flat, there and back", groove(mechanism.Flat, true, sq, 0, 0, 10, 0, 0, 0), (10*w + pi*w*w/4) * h},
		// a figure of area A and breadth B, met once by every line along y, drawn out: A h + B h^2/2
		{"flat, roofed across", groove(mechanism.Flat, false, rf, 0, 0, 10, 0), 10*w*h + 10*h*h/2},
		{"flat, roofed up", groove(mechanism.Flat, false, rf, 0, 0, 0, 10), 10*w*h + w*h*h/2},
		{"flat, roofed round", groove(mechanism.Flat, true, rf, 0, 0, 10, 0, 10, 10), (20*w+pi*w*w/4+bend)*h + (10+w)*h*h/2},
		{"flat, roofed oblique", groove(mechanism.Flat, true, rf, 0, 0, 6, 8), (10*w+pi*w*w/4)*h + (6+w)*h*h/2},
		{"shaft along", groove(mechanism.Shaft, false, sq, 0.4, 0, 0.4, 12), 12 * slot(si, so, w)},
		{"shaft along, round", groove(mechanism.Shaft, true, sq, 0.4, 0, 0.4, 12), 12*slot(si, so, w) + pinned(si, so, w)},
		{"shaft around", groove(mechanism.Shaft, false, sq, 0.4, 5, 2, 5), ring(si, so, 1.6)},
		{"shaft around, round", groove(mechanism.Shaft, true, sq, 0.4, 5, 2, 5), ring(si, so, 1.6) + pinned(si, so, w)},
		{"shaft, most of a turn", groove(mechanism.Shaft, false, sq, 0.4, 5, 6, 5), ring(si, so, 5.6)},
		{"shaft, full turn", groove(mechanism.Shaft, true, sq, 0.4, 5, 0.4+2*pi, 5), ring(si, so, 2*pi)},
		{"shaft, bend", groove(mechanism.Shaft, false, sq, 0, 0, 0, 9, 1.2, 9), 9*slot(si, so, w) + ring(si, so, 1.2) - w/4*slot(si, so, w) + pinned(si, so, w)/4},
		{"shaft, roofed around", groove(mechanism.Shaft, false, rf, 0.4, 5, 2, 5), 1.6 * simpson(func(x float64) float64 { return x * (w + x - si) }, si, so)},
		{"bore along", groove(mechanism.Bore, true, sq, 0.4, 0, 0.4, 12), 12*slot(bi, bo, w) + pinned(bi, bo, w)},
		{"bore around", groove(mechanism.Bore, true, sq, 2, 5, 0.4, 5), ring(bi, bo, 1.6) + pinned(bi, bo, w)},
		{"bore, roofed around", groove(mechanism.Bore, false, rf, 0.4, 5, 2, 5), 1.6 * simpson(func(x float64) float64 { return x * (w + bo - x) }, bi, bo)},
		{"bore, bends and roof", groove(mechanism.Bore, true, rf, 0, 0, 0, 9, 1.2, 9, 1.2, 20, 0.3, 20), 0},
		{"shaft, bends and roof", groove(mechanism.Shaft, true, rf, 0, 0, 0, 9, 1.2, 9, 1.2, 20, 0.3, 20, 0.3, 15), 0},
		{"shaft, helix", groove(mechanism.Shaft, false, sq, 0, 0, 2, 9), screwed(si, so, w, 2, 9)},
		{"shaft, left helix", groove(mechanism.Shaft, false, sq, 0, 0, -2, 9), screwed(si, so, w, 2, 9)},
		{"shaft, long helix", groove(mechanism.Shaft, false, sq, 0, 0, 13, 24), screwed(si, so, w, 13, 24)},
		{"bore, helix", groove(mechanism.Bore, true, sq, 0, 0, 2, 9), screwed(bi, bo, w, 2, 9) + pinned(bi, bo, w)},
		{"shaft, helix and bends", groove(mechanism.Shaft, true, sq, 0, 0, 1, 0, 2, 6, 2, 14, 1, 18), 0},
		{"shaft, roofed helix", groove(mechanism.Shaft, true, rf, 0, 0, 1, 0, 2, 6, 2, 14, 1, 18), 0},
		{"bore, roofed helix", groove(mechanism.Bore, true, rf, 0, 18, 1, 14, 1, 5, 2, 1), 0},
		{"shaft, turns that overlap", groove(mechanism.Shaft, true, sq, 0, 0, 6*pi, 6), 0},
		{"shaft, roofed turns that overlap", groove(mechanism.Shaft, true, rf, 0, 0, 4*pi, 5), 0},
		{"shaft, short runs", groove(mechanism.Shaft, true, sq, 0, 0, 0.05, 0.3, 0.1, 0.9, 0.15, 1.8, 0.2, 3, 0.2, 3.4, 0.15, 3.4), 0},
		{"flat, spiral of short runs", groove(mechanism.Flat, true, rf, spiral()...), 0},
		{"flat, crossing itself", groove(mechanism.Flat, true, sq, 0, 0, 10, 0, 10, 6, 5, 6, 5, -6), 0},
		{"shaft, wave round", groove(mechanism.Shaft, true, sq, 0, 0, pi, 6, 2*pi, 0), 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) { full(t, leaf(c.g), c.volume) })
	}
}

// spiral is a path of 40 short runs.
func spiral() []float64 {
	var uv []float64
	for i := range 41 {
		r, a := 4+0.15*float64(i), 0.25*float64(i)
		uv = append(uv, r*math.Cos(a), r*math.Sin(a))
	}
	return uv
}

// screwed is the volume that a pin's band sweeps on a screw by the angle u and
// the height v, between two cylinders: the flux of the motion through the surface
// x(q, s) = s e_r + q (-v e_t + s u e_z)/sqrt(v^2 + s^2 u^2), |q| < w/2, on which
// the pin touches its own way.
func screwed(ri, ro, w, u, v float64) float64 {
	across := func(q float64) float64 {
		radius := func(s float64) float64 { return math.Hypot(s, q*v/math.Hypot(v, s*u)) }
		limit := func(r float64) float64 {
			lo, hi := 0.0, r
			for range 60 {
				if m := (lo + hi) / 2; radius(m) < r {
					lo = m
				} else {
					hi = m
				}
			}
			return lo
		}
		return simpson(func(s float64) float64 {
			h := math.Hypot(v, s*u)
			// in (e_r, e_t, e_z): motion, dx/dq, dx/ds
			m := [3]float64{q * v * u / h, s * u, v}
			xq := [3]float64{0, -v / h, s * u / h}
			k := q * s * u * u / (h * h * h)
			xs := [3]float64{1, k * v, q*u/h - k*s*u}
			return math.Abs(m[0]*(xq[1]*xs[2]-xq[2]*xs[1]) + m[1]*(xq[2]*xs[0]-xq[0]*xs[2]) + m[2]*(xq[0]*xs[1]-xq[1]*xs[0]))
		}, limit(ri), limit(ro))
	}
	const n = 200 // the midpoint rule: across is smooth
	sum := 0.0
	for i := range n {
		sum += across(w * ((float64(i)+0.5)/n - 0.5))
	}
	return sum * w / n
}
