package printed

import (
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// Scores are standard normal numbers, one for each effect and one for shrink:
// where a print, or a feature of one, stands in the spread of its model.
type Scores struct {
	Of     [Effects]float64
	Shrink float64
}

// Values are the effects as they are on one feature of one print.
type Values struct {
	Of     [Effects]float64
	Shrink float64 // of the material that was asked for
}

// Draw draws scores. The normal numbers are quantiles of uniform ones, so that
// the same generator gives the same bytes with every Go.
func Draw(r *rand.Rand) Scores {
	var s Scores
	for e := range s.Of {
		s.Of[e] = normal(r)
	}
	s.Shrink = normal(r)
	return s
}

// normal is a standard normal number; the uniform one lies strictly within (0, 1).
func normal(r *rand.Rand) float64 {
	u := (float64(r.Uint64()>>11) + 0.5) / (1 << 53)
	return distuv.UnitNormal.Quantile(u)
}

// Values are the effects on a feature of a print, for a material.
func (m *Model) Values(print, feature *Scores, material string) Values {
	var v Values
	for e := range Effects {
		a := &m.Amounts[e]
		v.Of[e] = a.Mean + a.Prints*print.Of[e] + a.Features*feature.Of[e]
		if e.positive() {
			v.Of[e] = max(0, v.Of[e])
		}
	}
	s := m.ShrinkOf(material)
	v.Shrink = s.Mean + s.Prints*print.Shrink + s.Features*feature.Shrink
	return v
}

// Corner is an extreme of a model: every effect of a group stands so many
// standard deviations off its mean.
type Corner struct {
	Name   string
	Scores Scores
}

// Corners are the model as it is and its extremes: in-plane growths, growths in
// height and shrink each k standard deviations up or down, all together; the
// first is the mean. Flare, seam and oval go with the in-plane growths, give and
// wear against them. Spread between features does not enter: k should be chosen
// for the print as a whole.
func Corners(k float64) []Corner {
	out := []Corner{{Name: "as expected"}}
	for _, flat := range []float64{1, -1} {
		for _, up := range []float64{1, -1} {
			for _, shrink := range []float64{1, -1} {
				var c Corner
				for e := range Effects {
					c.Scores.Of[e] = flat * k
				}
				c.Scores.Of[Height] = up * k
				c.Scores.Of[Give], c.Scores.Of[Wear] = -flat*k, -flat*k
				c.Scores.Shrink = shrink * k
				c.Name = word(flat, "walls proud", "walls lean") + ", " + word(up, "tall", "low") + ", " + word(shrink, "much shrink", "little shrink")
				out = append(out, c)
			}
		}
	}
	return out
}

func word(sign float64, up, down string) string {
	if sign > 0 {
		return up
	}
	return down
}
