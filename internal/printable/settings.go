package printable

import (
	"fmt"
	"math"
)

// Settings are what must be known of printer, nozzle, spool and profile. All are
// plain numbers; Default gives those of a common desktop printer.
type Settings struct {
	Name string // of the printer's setting; "" is the common printer

	Bed        [3]float64 // printable room, mm
	Line       float64    // width of an extruded line, mm
	Layer      float64    // height of a layer, mm
	FirstLayer float64    // height of the first layer, mm
	Walls      int        // lines round every layer
	Skins      int        // solid layers on top and at the bottom
	Infill     float64    // share of the inside that is filled, 0 to 1

	WallSpeed, FillSpeed, FirstSpeed, TravelSpeed float64 // mm/s
	Acceleration                                  float64 // mm/s2
	Flow                                          float64 // most that the nozzle melts, mm3/s
	LeastLayer                                    float64 // a layer takes at least so long to cool, s
	LayerChange                                   float64 // lifting and moving on between layers, s
	Retract                                       float64 // pulling back and priming, s each

	Filament float64 // diameter, mm
	Density  float64 // g/cm3, of parts whose material gives none

	Overhang       float64            // steepest face that prints without support, radians from the vertical
	BridgeSpan     float64            // longest bridge that prints without support, mm
	SupportDensity float64            // share of a support's volume that is plastic
	Flare          float64            // how far the first layers spread, mm a side
	FlareHeight    float64            // up to which height they do, mm
	BoreSmall      float64            // how much an upright hole comes out too small, mm across
	Seam           float64            // how proud the seam of the layers stands, mm
	Oval           float64            // by which share of its diameter a ring is out of round
	Shrink         map[string]float64 // share by which a material shrinks, by its name in capitals
	Keep           float64            // plastic that strength asks for under every face, mm

	Pace Pace // from the clock; the zero value leaves the model as it is
}

// Default is a common desktop printer with a 0.4 mm nozzle and PLA. Every number
// is common practice without a source unless the comment names one.
func Default() Settings {
	return Settings{
		Bed:  [3]float64{220, 220, 250},
		Line: 0.45, Layer: 0.2, FirstLayer: 0.2, Walls: 3, Skins: 4, Infill: 0.15,
		WallSpeed: 60, FillSpeed: 100, FirstSpeed: 25, TravelSpeed: 150, Acceleration: 2000,
		Flow: 12, LeastLayer: 6, LayerChange: 0.6, Retract: 0.15,
		Filament: 1.75, Density: 1.24,
		Overhang: 45 * math.Pi / 180, BridgeSpan: 10, SupportDensity: 0.2,
		Flare: 0.15, FlareHeight: 0.4, BoreSmall: 0.2, Seam: 0.1, Oval: 0.002,
		Shrink: map[string]float64{"PLA": 0.003, "PETG": 0.004, "ABS": 0.007, "ASA": 0.006, "NYLON": 0.012},
		Keep:   2.4,
	}
}

// Check names the first setting that makes no sense.
func (s *Settings) Check() error {
	for _, c := range []struct {
		name     string
		v        float64
		low, top float64
	}{
		{"bed width", s.Bed[0], 1, 1e4},
		{"bed depth", s.Bed[1], 1, 1e4},
		{"bed height", s.Bed[2], 1, 1e4},
		{"line width", s.Line, 0.05, 5},
		{"layer height", s.Layer, 0.02, 5},
		{"first layer height", s.FirstLayer, 0.02, 5},
		{"walls", float64(s.Walls), 1, 1000},
		{"skins", float64(s.Skins), 0, 1000},
		{"infill", s.Infill, 0, 1},
		{"wall speed", s.WallSpeed, 0.1, 5000},
		{"fill speed", s.FillSpeed, 0.1, 5000},
		{"first layer speed", s.FirstSpeed, 0.1, 5000},
		{"travel speed", s.TravelSpeed, 0.1, 5000},
		{"acceleration", s.Acceleration, 1, 1e6},
		{"flow", s.Flow, 0.01, 1000},
		{"least time of a layer", s.LeastLayer, 0, 3600},
		{"layer change", s.LayerChange, 0, 600},
		{"retraction time", s.Retract, 0, 60},
		{"filament diameter", s.Filament, 0.5, 10},
		{"density", s.Density, 0.1, 25},
		{"overhang angle", s.Overhang, 0, math.Pi / 2},
		{"bridge span", s.BridgeSpan, 0, 1e4},
		{"support density", s.SupportDensity, 0, 1},
		{"flare", s.Flare, 0, 5},
		{"flare height", s.FlareHeight, 0, 10},
		{"bore undersize", s.BoreSmall, -5, 5},
		{"seam height", s.Seam, 0, 5},
		{"oval share", s.Oval, 0, 0.5},
		{"kept thickness", s.Keep, 0, 1e3},
	} {
		if !(c.v >= c.low && c.v <= c.top) {
			return fmt.Errorf("printer settings: %s is %g, must lie from %g to %g", c.name, c.v, c.low, c.top)
		}
	}
	return nil
}

// density of a material, g/cm3; 0 takes the settings'.
func (s *Settings) density(own float64) float64 {
	if own > 0 {
		return own
	}
	return s.Density
}
