package wording

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// How near a stroke must end to a mark or a stop to be described by it: what a
// hand cannot tell apart. Common practice, no source.
const (
	nearLength = 0.15                 // mm
	nearAngle  = 0.75 * math.Pi / 180 // radians
)

// Direction says which way a travel goes, in the maker's own words where there
// are any.
func Direction(t *mechanism.Travel, rising bool) string {
	own := t.Forward
	if !rising {
		own = t.Backward
	}
	if own != "" {
		return Name(own)
	}
	if t.Kind == mechanism.Slide {
		d := t.Axis.Dir
		if !rising {
			d = geom.Vec{X: -d.X, Y: -d.Y, Z: -d.Z}
		}
		return Towards(d)
	}
	side, flipped := axisSide(t.Axis.Dir)
	// A rising turn is counter-clockwise for an eye towards which the axis points.
	if rising != flipped {
		return "counter-clockwise seen from " + side
	}
	return "clockwise seen from " + side
}

// Towards says in which direction, a unit vector of the box as drawn, something goes.
func Towards(d geom.Vec) string {
	switch {
	case d.Z > 0.999:
		return "up"
	case d.Z < -0.999:
		return "down"
	case math.Abs(d.X) > 0.999:
		return "towards " + sign(d.X) + "x"
	case math.Abs(d.Y) > 0.999:
		return "towards " + sign(d.Y) + "y"
	default:
		return fmt.Sprintf("towards (%s, %s, %s)", Number(d.X, 2), Number(d.Y, 2), Number(d.Z, 2))
	}
}

// axisSide names the side of the box that the axis d faces most, chosen among
// above, +x and +y; flipped tells that d points away from it.
func axisSide(d geom.Vec) (side string, flipped bool) {
	x, y, z := math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z)
	switch {
	case z >= x && z >= y:
		return "above", d.Z < 0
	case x >= y:
		return "the +x side", d.X < 0
	default:
		return "the +y side", d.Y < 0
	}
}

func sign(v float64) string {
	if v < 0 {
		return "-"
	}
	return "+"
}

// Stroke says what to do: `slide up 12.0 mm, to the mark "shelf" (30.0 mm)`.
func Stroke(m *mechanism.Mechanism, s motion.Stroke) string {
	t := &m.Travels[s.Travel]
	verb := [...]string{"slide", "turn", "screw"}[t.Kind]
	rising := s.To > s.From
	out := fmt.Sprintf("%s %s %s", verb, Direction(t, rising), Value(t, math.Abs(s.To-s.From)))
	if to := target(t, s); to != "" {
		out += ", " + to
	}
	return out
}

// target says where a stroke ends, nothing if its length says the same.
func target(t *mechanism.Travel, s motion.Stroke) string {
	v := Folded(t, s.To)
	if k := MarkAt(t, s.To); k != "" {
		return fmt.Sprintf("to the mark %s (%s)", Quoted(k), Value(t, v))
	}
	if !t.Full {
		stop := t.Hi
		if s.To < s.From {
			stop = t.Lo
		}
		if math.Abs(s.To-stop) <= near(t) {
			if s.From == 0 { // the length says it already
				return "as far as it goes"
			}
			return fmt.Sprintf("as far as it goes (%s)", Value(t, v))
		}
	}
	if s.From == 0 && v == s.To {
		return ""
	}
	return "to " + Value(t, v)
}

// MarkAt is the name of the mark at which v stands, "" if there is none.
func MarkAt(t *mechanism.Travel, v float64) string {
	best, name := near(t), ""
	for _, k := range t.Marks {
		d := math.Abs(k.Value - v)
		if t.Full {
			d = math.Abs(math.Remainder(k.Value-v, 2*math.Pi))
		}
		if d <= best {
			best, name = d, k.Name
		}
	}
	return name
}

// Folded brings a value of a full turn into [0, 2 pi).
func Folded(t *mechanism.Travel, v float64) float64 {
	if !t.Full {
		return v
	}
	if v = math.Mod(v, 2*math.Pi); v < 0 {
		v += 2 * math.Pi
	}
	// what would print as 360.0 deg is the start of the turn
	if v > 2*math.Pi-1e-6 {
		v = 0
	}
	return v
}

func near(t *mechanism.Travel) float64 {
	if t.Kind == mechanism.Slide {
		return nearLength
	}
	return nearAngle
}

// Settings says where all travels stand: "rod slide 12.0 mm, ring turn 40.0 deg".
// An empty configuration gives "".
func Settings(m *mechanism.Mechanism, q []float64) string {
	out := ""
	for i := range q {
		if i >= len(m.Travels) {
			break
		}
		if out != "" {
			out += ", "
		}
		t := &m.Travels[i]
		out += fmt.Sprintf("%s %s %s", Part(m, t.Part), Name(t.Name), Value(t, Folded(t, q[i])))
	}
	return out
}

// Place is a point in the assembly: "x 1.0, y 2.0, z 3.0 mm".
func Place(v geom.Vec) string {
	return fmt.Sprintf("x %s, y %s, z %s mm", Number(v.X, 1), Number(v.Y, 1), Number(v.Z, 1))
}
