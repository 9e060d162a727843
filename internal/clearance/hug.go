package clearance

import (
	"math"
	"slices"

	"feint/internal/geom"
)

// maxHug is how many triangles a hug leans on.
const maxHug = 4

// hug is an upper bound over the cell of the depth in o of all points of the
// piece p (at the middle pose), +Inf if none of the triangles may be trusted.
//
// Within o the depth is no more than the distance f to any triangle that is on the
// surface; such a distance is convex, so any mean of several is convex too, no
// less than the depth, and largest at the corners of p at the corners of the
// cell. One triangle serves under a face; where the deepest points of p form a
// ridge between two faces, or a peak between three, the best mean makes its
// corners equal: the value of a small matrix game, found by trying the solutions
// of all its square parts (L. Shapley and R. Snow, 1950).
func (m *mover) hug(p *geom.Triangle, near []int32) float64 {
	var f [maxHug][3]float64
	var used [maxHug]int32
	n := 0
	for _, i := range near {
		g := m.o.body.flatOf[i]
		if n == maxHug || !m.o.body.exposed(g) || slices.Contains(used[:n], g) {
			continue
		}
		used[n] = g
		for k := range p {
			f[n][k] = m.far(p[k], i)
		}
		n++
	}
	best := math.Inf(1)
	try := func(l [maxHug]float64) {
		worst := math.Inf(-1)
		for k := range 3 {
			s := 0.0
			for i := range n {
				s += l[i] * f[i][k]
			}
			worst = max(worst, s)
		}
		best = min(best, worst)
	}
	for i := range n {
		try(one(i))
		for j := range i {
			for a := range 3 {
				for b := range a {
					if l, ok := even2(&f, i, j, a, b); ok {
						try(l)
					}
				}
			}
			for k := range j {
				if l, ok := even3(&f, i, j, k); ok {
					try(l)
				}
			}
		}
	}
	return best
}

func one(i int) (l [maxHug]float64) {
	l[i] = 1
	return l
}

// even2 is the mean of functions i and j that is the same at the corners a and b.
func even2(f *[maxHug][3]float64, i, j, a, b int) (l [maxHug]float64, ok bool) {
	di, dj := f[i][a]-f[i][b], f[j][a]-f[j][b]
	if di*dj >= 0 {
		return l, false
	}
	l[i] = dj / (dj - di)
	l[j] = 1 - l[i]
	return l, l[i] >= 0 && l[j] >= 0
}

// even3 is the mean of three functions that is the same at all corners.
func even3(f *[maxHug][3]float64, i, j, k int) (l [maxHug]float64, ok bool) {
	// differences to the first corner must cancel
	u := [3]float64{f[i][1] - f[i][0], f[j][1] - f[j][0], f[k][1] - f[k][0]}
	v := [3]float64{f[i][2] - f[i][0], f[j][2] - f[j][0], f[k][2] - f[k][0]}
	w := [3]float64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
	sum := w[0] + w[1] + w[2]
	if sum == 0 {
		return l, false
	}
	l[i], l[j], l[k] = w[0]/sum, w[1]/sum, w[2]/sum
	return l, l[i] >= 0 && l[j] >= 0 && l[k] >= 0
}
