package survey

import (
	"math"

	"feint/internal/forces"
	"feint/internal/mechanism"
)

// Courses gives what magnets do to the travels along their strokes, for every travel where
// that is felt. growth is the range asked, mm a surface. An error names a magnet that is
// not known.
func Courses(m *mechanism.Mechanism, growth forces.Interval) ([]Course, error) {
	s := &Survey{}
	if _, err := s.place(m); err != nil {
		return nil, err
	}
	return s.courses(m, growth), nil
}

// Push is what pushes the travel at the start, along rising values, N or N mm.
func (c *Course) Push() forces.Interval { return c.Along[c.Start].Push }

// Moving is how far a travel goes before it counts as moving rather than as having play,
// mm and radians.
const (
	movingSlide = 1.0
	movingTurn  = 4 * math.Pi / 180
)

// Hold is by how much more than at the start the magnets resist as the travel goes on,
// forwards or backwards, N or N mm: from what it takes to move it at all to what it takes
// to bring it past all of them.
func (c *Course) Hold(m *mechanism.Mechanism, forwards bool) forces.Interval {
	way := c.way(forwards)
	moving := movingTurn
	if m.Travels[c.Travel].Kind == mechanism.Slide {
		moving = movingSlide
	}
	at := c.Along[c.Start].Value
	least, most := way[0].Push.Lo, way[0].Push.Hi
	for i := range way {
		if math.Abs(way[i].Value-at) <= moving {
			least = max(least, way[i].Push.Lo)
		}
		if v := way[i].Push.Hi; v > most {
			most = v + peak(way, i)
		}
	}
	return forces.Hull(max(0, least-way[0].Push.Lo), max(0, most-way[0].Push.Hi))
}

// peak is by how much a smooth curve may rise above a sample that none near exceeds: half
// the larger step to its neighbours, twice what a parabola does.
func peak(way []CourseAt, i int) float64 {
	if i == 0 || i == len(way)-1 {
		return 0
	}
	v := way[i].Push.Hi
	return max(0, v-way[i-1].Push.Hi, v-way[i+1].Push.Hi) / 2
}

// Part is the energy that it takes to bring the travel forwards or backwards past all that
// magnets do against it, mJ.
func (c *Course) Part(forwards bool) forces.Interval {
	way := c.way(forwards)
	var sum, out forces.Interval
	for i := 1; i < len(way); i++ {
		a, b, by := way[i-1].Push, way[i].Push, math.Abs(way[i].Value-way[i-1].Value)
		sum.Lo += by * min(a.Lo, b.Lo)
		sum.Hi += by * max(a.Hi, b.Hi, 0)
		out.Lo, out.Hi = max(out.Lo, sum.Lo), max(out.Hi, sum.Hi)
	}
	return out
}

// way is the course from the start on, what resists a motion counted positive.
func (c *Course) way(forwards bool) []CourseAt {
	var out []CourseAt
	if forwards {
		for _, k := range c.Along[c.Start:] {
			out = append(out, CourseAt{k.Value, k.Push.Neg()})
		}
		return out
	}
	for i := c.Start; i >= 0; i-- {
		out = append(out, c.Along[i])
	}
	return out
}

// rides tells whether part p is part on, or is carried by it.
func rides(m *mechanism.Mechanism, p, on int) bool {
	for ; p >= 0; p = m.Parts[p].Carrier {
		if p == on {
			return true
		}
	}
	return false
}
