package printable

import "feint/internal/mating"

// Survey is what is known of how all parts of a mechanism print and fit together.
type Survey struct {
	Settings Settings
	Reports  []*Report    // by part; nil for parts that are bought or have no sound mesh
	Pieces   []Piece      // what was looked at, by part
	Fits     []mating.Fit // where parts guide each other
	Inside   []Inside     // bodies of one part that do not touch: printed in place
}

// Inside is the least gap between two bodies that one part is made of.
type Inside struct {
	Part int
	Gap  float64 // mm
	Up   bool    // the gap is level: layers count, not lines
}

// SlidesOf turns contacts of one part into what Look takes. Where another travel
// moves the two parts towards each other the contact's own gap says how far they
// were moved, not how they fit: the gap of the tightest fit of the two stands for
// it, and none if there is no such fit.
func SlidesOf(part int, cs []mating.Contact, fits []mating.Fit) []Slide {
	tightest := map[int]float64{}
	for i := range fits {
		f := &fits[i]
		other := f.Outer + f.Inner - part
		if f.Outer != part && f.Inner != part {
			continue
		}
		if g, ok := tightest[other]; !ok || f.Gap < g {
			tightest[other] = f.Gap
		}
	}
	var out []Slide
	for i := range cs {
		c := &cs[i]
		if c.Part != part {
			continue
		}
		s := Slide{Triangle: c.Triangle, At: c.At, Normal: c.Normal, Area: c.Area, Gap: c.Gap, Other: c.Other}
		if c.Shifts {
			g, ok := tightest[c.Other]
			s.Gap, s.Free = g, !ok
		}
		out = append(out, s)
	}
	return out
}
