package wording

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// Move tells a move of a directed way, a line for every stroke and everything that comes of it.
func Move(m *mechanism.Mechanism, k *hands.Move) []string {
	var out []string
	switch k.Kind {
	case hands.Turn:
		out = append(out, "turn the box so that "+Up(k.Up))
	case hands.Take:
		out = append(out, fmt.Sprintf("take the tool out of %s and put it into %s", seat(m, k.From), seat(m, k.Part)))
	case hands.Hand:
	}
	for _, s := range k.Strokes {
		out = append(out, Stroke(m, s.Stroke))
		out = append(out, Effects(m, s.Effects)...)
	}
	return append(out, Effects(m, k.Effects)...)
}

func seat(m *mechanism.Mechanism, part int) string {
	if part < 0 || part >= len(m.Parts) {
		return "its place"
	}
	return Part(m, part)
}

// Effects tells what moves that the hand did not move, a line each.
func Effects(m *mechanism.Mechanism, es []hands.Effect) []string {
	var out []string
	for _, e := range es {
		out = append(out, fmt.Sprintf("%s %s: %s", Part(m, m.Travels[e.Travel].Part), Cause(e.Cause),
			Stroke(m, motion.Stroke{Travel: e.Travel, From: e.From, To: e.To})))
	}
	return out
}

// Cause says what moves a part that the hand does not.
func Cause(c hands.Cause) string {
	return map[hands.Cause]string{hands.Pushed: "is pushed", hands.Fell: "falls", hands.Sprung: "springs"}[c]
}

// Up says which side of the box, as drawn, is up: x to the right, y to the
// back, z upwards.
func Up(up geom.Vec) string {
	for _, s := range []struct {
		dir  geom.Vec
		name string
	}{
		{geom.Vec{Z: 1}, "it stands as drawn"},
		{geom.Vec{Z: -1}, "its bottom is up"},
		{geom.Vec{X: 1}, "its right side is up"},
		{geom.Vec{X: -1}, "its left side is up"},
		{geom.Vec{Y: 1}, "its back is up"},
		{geom.Vec{Y: -1}, "its front is up"},
	} {
		if math.Abs(s.dir.X-up.X)+math.Abs(s.dir.Y-up.Y)+math.Abs(s.dir.Z-up.Z) < 1e-6 {
			return s.name
		}
	}
	return fmt.Sprintf("the direction (%s, %s, %s) of the drawing is up", Number(up.X, 2), Number(up.Y, 2), Number(up.Z, 2))
}
