package export

import (
	"math"
	"slices"

	"feint/internal/export/picture"
)

// within sorts the values from lo to hi and drops what is equal or outside.
func within(v []float64, lo, hi float64) []float64 {
	v = slices.DeleteFunc(v, func(x float64) bool { return x < lo || x > hi || math.IsNaN(x) })
	slices.Sort(v)
	return slices.Compact(v)
}

// arrowHead is the two barbs at the end of a line, as one line through its tip.
func arrowHead(pts [][2]float64, size float64) [][2]float64 {
	end := pts[len(pts)-1]
	from := pts[0]
	for i := len(pts) - 2; i >= 0; i-- {
		if math.Hypot(end[0]-pts[i][0], end[1]-pts[i][1]) >= size {
			from = pts[i]
			break
		}
	}
	a := math.Atan2(end[1]-from[1], end[0]-from[0])
	barb := func(off float64) [2]float64 {
		s, c := math.Sincos(a + math.Pi + off)
		return [2]float64{end[0] + size*c, end[1] + size*s}
	}
	const spread = 0.45 // radians
	return [][2]float64{barb(spread), end, barb(-spread)}
}

// hatchLines are the lines of a hatching within the right half of a swatch of 36
// by 18.
func hatchLines(hatch int) [][4]float64 {
	dx, dy, every := picture.Hatching(hatch)
	const x0, x1, y1 = 18.0, 36.0, 18.0
	n := math.Hypot(dx, dy)
	dx, dy = dx/n, dy/n
	var out [][4]float64
	for k := -12.0; k < 12; k++ {
		// points with dx x + dy y = k every, where the line meets the half's box
		var ends [][2]float64
		add := func(x, y float64) {
			if x >= x0-1e-9 && x <= x1+1e-9 && y >= -1e-9 && y <= y1+1e-9 {
				ends = append(ends, [2]float64{x, y})
			}
		}
		c := k * every
		if math.Abs(dy) > 1e-9 {
			add(x0, (c-dx*x0)/dy)
			add(x1, (c-dx*x1)/dy)
		}
		if math.Abs(dx) > 1e-9 {
			add(c/dx, 0)
			add((c-dy*y1)/dx, y1)
		}
		if len(ends) >= 2 {
			out = append(out, [4]float64{ends[0][0], ends[0][1], ends[1][0], ends[1][1]})
		}
	}
	return out
}
