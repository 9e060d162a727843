package magnet

import (
	"fmt"
	"math"

	"feint/internal/forces"
)

// Force is a pull along the axis (negative pushes) and the force that draws the
// magnets back in line when they are beside each other, N.
type Force struct{ Axial, Side float64 }

// closeBy is the distance of two discs, of the sum of their radii, below which the
// integral by common areas is used: above, the other has some hundred panels at most.
const closeBy = 0.05

// Beside is the force of two magnets with parallel axes, unlike poles facing, at the
// gap and the offset of their axes, for remanences of 1 T each: multiply by the
// product of the two. off bounds the error of either component, as far as halving the
// steps tells. Sizes are positive, gap and offset not negative.
func Beside(d1, l1, d2, l2, gap, offset float64) (f Force, off float64) {
	r1, r2 := d1/2, d2/2
	for _, t := range [4]struct{ sign, d float64 }{{1, gap}, {-1, gap + l1}, {-1, gap + l2}, {1, gap + l1 + l2}} {
		kern := kernel
		if t.d < closeBy*(r1+r2) {
			kern = kernelTight
		}
		a, ea := kern(0, r1, r2, offset, t.d)
		f.Axial += t.sign * a
		off += ea
		if offset > 0 {
			s, es := kern(1, r1, r2, offset, t.d)
			f.Side += t.sign * s
			off += es
		}
	}
	k := perMM2 * math.Pi * r1 * r2
	return Force{k * f.Axial, k * f.Side}, k * off
}

// Pair is the force of two magnets with parallel axes and unlike poles facing, as
// intervals over remanence, gap, offset and recoil. Forces of a gap or offset between
// its ends are sampled and the steps between samples added: a bound as far as the
// force does not turn within a step.
func Pair(a, b *Cylinder, gap, offset forces.Interval) (axial, side forces.Interval, err error) {
	if err := check(a, b, gap, offset); err != nil {
		return axial, side, err
	}
	gs, xs := samples(gap), samples(offset)
	var ax, sd [][]float64
	most := 0.0
	for _, g := range gs {
		var ra, rs []float64
		for _, x := range xs {
			f, off := Beside(a.D, a.L, b.D, b.L, g, x)
			ra, rs, most = append(ra, f.Axial), append(rs, f.Side), max(most, off)
		}
		ax, sd = append(ax, ra), append(sd, rs)
	}
	k := a.Br.Mul(b.Br).Mul(Recoil())
	return spread(ax, most).Mul(k), spread(sd, most).Mul(k), nil
}

// Plate is the pull of a magnet on a thick plate of soft steel at the gap: that on its
// mirror image at twice the gap. Thin or hard steel pulls less.
func Plate(c *Cylinder, gap forces.Interval) (forces.Interval, error) {
	axial, _, err := Pair(c, c, gap.Scale(2), forces.Exact(0))
	return axial, err
}

func check(a, b *Cylinder, gap, offset forces.Interval) error {
	for _, c := range [2]*Cylinder{a, b} {
		if !(c.D > 0) || !(c.L > 0) || !(c.Br.Lo > 0) || math.IsInf(c.D+c.L+c.Br.Hi, 0) {
			return fmt.Errorf("a magnet of %g x %g mm and %s T: give a diameter, a length and a remanence above 0", c.D, c.L, c.Br)
		}
	}
	if !(gap.Lo >= 0) || !(offset.Lo >= 0) || math.IsInf(gap.Hi+offset.Hi, 0) {
		return fmt.Errorf("magnets at a gap of %s mm and an offset of %s mm: neither may be below 0", gap, offset)
	}
	return nil
}

// samples are the ends of an interval and, if it is one, seven values between.
func samples(i forces.Interval) []float64 {
	if i.Lo == i.Hi {
		return []float64{i.Lo}
	}
	const n = 8
	out := make([]float64, n+1)
	for k := range out {
		out[k] = i.Lo + i.Width()*float64(k)/n
	}
	return out
}

// spread is the hull of the samples, widened by off, and, where a sample within is an
// extreme, by the larger step to its neighbours.
func spread(v [][]float64, off float64) forces.Interval {
	out := forces.Exact(v[0][0])
	for i := range v {
		for j := range v[i] {
			step := 0.0
			for _, n := range [4][2]int{{i - 1, j}, {i + 1, j}, {i, j - 1}, {i, j + 1}} {
				if n[0] >= 0 && n[0] < len(v) && n[1] >= 0 && n[1] < len(v[i]) {
					step = max(step, math.Abs(v[i][j]-v[n[0]][n[1]]))
				}
			}
			if i == 0 && len(v) > 1 || i == len(v)-1 || j == 0 && len(v[i]) > 1 || j == len(v[i])-1 {
				step = 0 // an end: nothing lies beyond
			}
			out = out.Union(forces.About(v[i][j], step+off))
		}
	}
	return out
}
