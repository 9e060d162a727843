package printed

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// Amount is how large an effect is. Its value on one feature of one print is
// normal: Mean plus Prints times a number drawn once for the print plus Features
// times a number drawn for the feature. The unit is that of the effect.
type Amount struct {
	Mean     float64
	Prints   float64 // standard deviation from print to print
	Features float64 // standard deviation between the features of one print
}

// Effect is one thing that printing does to a surface.
type Effect uint8

// The effects. Those from Flare on are never negative: what is drawn below 0 is 0.
const (
	InPlane   Effect = iota // every upright wall stands proud by it, mm
	Bore                    // and the wall of an upright hole by so much more, mm
	BoreSmall               // and by this divided by the hole's diameter, mm2
	Peg                     // the wall of an upright peg by so much more, mm
	PegSmall                // and by this divided by the peg's diameter, mm2
	Height                  // faces parallel to the plate stand proud by it, mm
	Flare                   // walls within the flared height stand proud by so much more, mm
	Seam                    // the seam stands above its wall by it, mm
	Oval                    // half the difference of a ring's greatest and least radius, mm
	Give                    // what a surface yields to a firm hand, mm
	Wear                    // what a surface loses in a thousand solves, mm
	Effects                 // how many there are
)

var effectNames = [Effects]string{ //nolint:gochecknoglobals // a constant that Go cannot write as one
	"in_plane", "bore", "bore_small", "peg", "peg_small", "height", "flare", "seam", "oval", "give", "wear",
}

func (e Effect) String() string {
	if e < Effects {
		return effectNames[e]
	}
	return fmt.Sprintf("effect %d", uint8(e))
}

// positive tells whether the effect cannot be negative.
func (e Effect) positive() bool { return e >= Flare }

// Model is what is known of one printer with one nozzle, spool and profile.
type Model struct {
	Name    string // by which the maker calls this setting
	Printer string
	Nozzle  float64 // mm, 0 if not said
	Spool   string
	Profile string
	Source  string // where the numbers come from

	Amounts [Effects]Amount
	// Shrink is the share of every length that is lost in cooling, by material;
	// the entry "" is for materials that are not listed.
	Shrink map[string]Amount

	Layer       float64 // height of a layer, mm; 0: heights are not stepped
	FirstLayer  float64 // height of the first layer, mm
	FlareHeight float64 // to which height walls flare, mm
}

// Clone copies the model.
func (m *Model) Clone() *Model {
	c := *m
	c.Shrink = maps.Clone(m.Shrink)
	return &c
}

// ShrinkOf is the shrink of a material.
func (m *Model) ShrinkOf(material string) Amount {
	if a, ok := m.Shrink[material]; ok {
		return a
	}
	return m.Shrink[""]
}

// Check tells what is wrong with the numbers of a model.
func (m *Model) Check() error {
	for e := range Effects {
		if err := m.Amounts[e].check(e.String()); err != nil {
			return err
		}
		if e.positive() && m.Amounts[e].Mean < 0 {
			return fmt.Errorf("%s: mean %g mm is negative", e, m.Amounts[e].Mean)
		}
	}
	for _, k := range slices.Sorted(maps.Keys(m.Shrink)) {
		name := strings.TrimSpace("shrink " + k)
		a := m.Shrink[k]
		if err := a.check(name); err != nil {
			return err
		}
		if math.Abs(a.Mean) > 0.1 {
			return fmt.Errorf("%s: mean %g is a share of the length, 0.003 for 0.3 %%; beyond 0.1 it is no shrink", name, a.Mean)
		}
	}
	for _, x := range []struct {
		name string
		v    float64
		most float64
	}{{"layer", m.Layer, 2}, {"first_layer", m.FirstLayer, 2}, {"flare_height", m.FlareHeight, 5}, {"nozzle", m.Nozzle, 5}} {
		if !(x.v >= 0 && x.v <= x.most) {
			return fmt.Errorf("%s: %g mm is not between 0 and %g", x.name, x.v, x.most)
		}
	}
	return nil
}

// mostGrowth bounds what is taken for a growth, mm: a surface 2 mm off is no
// print of the drawing.
const mostGrowth = 2

func (a Amount) check(name string) error {
	switch {
	case math.IsNaN(a.Mean + a.Prints + a.Features):
		return fmt.Errorf("%s: not a number", name)
	case math.Abs(a.Mean) > mostGrowth:
		return fmt.Errorf("%s: mean %g mm is beyond %g", name, a.Mean, float64(mostGrowth))
	case !(a.Prints >= 0 && a.Prints <= mostGrowth):
		return fmt.Errorf("%s: prints is a standard deviation between 0 and %g, not %g", name, float64(mostGrowth), a.Prints)
	case !(a.Features >= 0 && a.Features <= mostGrowth):
		return fmt.Errorf("%s: features is a standard deviation between 0 and %g, not %g", name, float64(mostGrowth), a.Features)
	}
	return nil
}
