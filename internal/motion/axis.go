package motion

import (
	"fmt"
	"math"

	"feint/internal/clearance"
	"feint/internal/diagram"
	"feint/internal/mechanism"
)

const (
	// slideUnit and turnUnit are the largest units of a travel's axis: below a
	// tenth of the finest gap that is asked for (0.01 mm), and at 20 mm from the
	// axis 0.01 degree is 0.0035 mm.
	slideUnit = 0.002
	turnUnit  = math.Pi / 18000
	// maxBits bounds the units of an axis to 2^24.
	maxBits = 24
	// snap, in units, is how near a value must be to the border of two units to
	// be taken for it: 2e-9 mm at most, above the rounding of the sums that lead
	// to it (1e-12) and far below the 2^-16 mm grid of the meshes.
	snap = 1e-6
)

// axis divides a range into 2^k equal units.
type axis struct {
	lo, hi float64
	size   int32
	cyclic bool
	angle  bool
}

func newAxis(lo, hi float64, cyclic, angle bool) axis {
	u := slideUnit
	if angle {
		u = turnUnit
	}
	bits := 0
	for bits < maxBits && (hi-lo)/float64(int32(1)<<bits) > u {
		bits++
	}
	return axis{lo, hi, 1 << bits, cyclic, angle}
}

func travelAxis(m *mechanism.Mechanism, t int) (axis, error) {
	tr := &m.Travels[t]
	if math.IsInf(tr.Lo, 0) || math.IsInf(tr.Hi, 0) || !(tr.Lo <= tr.Hi) {
		return axis{}, fmt.Errorf("%s: travel %q of %q runs from %g to %g: give it two limits",
			tr.Pos, tr.Name, m.Parts[tr.Part].Name, tr.Lo, tr.Hi)
	}
	return newAxis(tr.Lo, tr.Hi, tr.Full, tr.Kind != mechanism.Slide), nil
}

func coordAxis(c *clearance.Coord) axis { return newAxis(c.Lo, c.Hi, c.Cyclic, c.Angle) }

// unit is the width of a unit, mm or radians.
func (a *axis) unit() float64 { return (a.hi - a.lo) / float64(a.size) }

// place is v in units from the lower end.
func (a *axis) place(v float64) float64 {
	if a.hi == a.lo {
		return 0.5
	}
	return (v - a.lo) / (a.hi - a.lo) * float64(a.size)
}

// value is the lower border of unit u.
func (a *axis) value(u int32) float64 {
	return a.lo + (a.hi-a.lo)*(float64(u)/float64(a.size))
}

// outer is the smallest run of units that covers [lo, hi]; it may reach beyond
// the axis.
func (a *axis) outer(lo, hi float64) diagram.Run {
	return diagram.Run{
		Lo: int32(math.Floor(a.place(lo) + snap)),
		Hi: int32(math.Ceil(a.place(hi) - snap)),
	}
}

// inner is the largest run of units within [lo, hi], perhaps empty.
func (a *axis) inner(lo, hi float64) diagram.Run {
	return diagram.Run{
		Lo: int32(math.Ceil(a.place(lo) - snap)),
		Hi: int32(math.Floor(a.place(hi) + snap)),
	}
}

// touching is the units whose closed interval meets [lo, hi].
func (a *axis) touching(lo, hi float64) diagram.Run {
	return diagram.Run{
		Lo: int32(math.Ceil(a.place(lo)-snap)) - 1,
		Hi: int32(math.Floor(a.place(hi)+snap)) + 1,
	}
}

// onto cuts a run that may reach beyond the axis into runs on it: round the ring
// if cyclic, else clipped.
func (a *axis) onto(r diagram.Run) []diagram.Run {
	n := a.size
	if !a.cyclic {
		r.Lo, r.Hi = max(r.Lo, 0), min(r.Hi, n)
		if r.Lo >= r.Hi {
			return nil
		}
		return []diagram.Run{r}
	}
	length := r.Hi - r.Lo
	switch {
	case length <= 0:
		return nil
	case length >= n:
		return []diagram.Run{{Lo: 0, Hi: n}}
	}
	lo := ((r.Lo % n) + n) % n
	if lo+length <= n {
		return []diagram.Run{{Lo: lo, Hi: lo + length}}
	}
	return []diagram.Run{{Lo: 0, Hi: lo + length - n}, {Lo: lo, Hi: n}}
}

// bound is the runs of [lo, hi], infinities allowed, by one of the roundings
// above; on a ring lo may exceed hi, and the interval runs through the ends.
func (a *axis) bound(lo, hi float64, round func(lo, hi float64) diagram.Run) []diagram.Run {
	if a.cyclic {
		turn := a.hi - a.lo
		switch {
		case math.IsInf(lo, 0) || math.IsInf(hi, 0):
			return a.onto(diagram.Run{Lo: 0, Hi: a.size})
		case lo > hi:
			hi += turn
		}
		return a.onto(round(lo, hi))
	}
	// a step beyond the range is beyond it for every rounding
	margin := 1 + (a.hi - a.lo)
	return a.onto(round(max(lo, a.lo-margin), min(hi, a.hi+margin)))
}
