package gauge

import (
	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/mesh"
)

// The most that one gauge print may take by the estimate.
const (
	MostMinutes = 15.0
	MostGrams   = 6.0
)

// Estimator tells the minutes and grams of pieces printed together.
type Estimator func(pieces []*mesh.Mesh) (minutes, grams float64)

// Settings are what a gauge needs to know.
type Settings struct {
	Gaps     []float64 // of the ladder, mm a side, rising; nil takes steps round the drawn gap
	Workers  int
	Estimate Estimator // must be set

	stop <-chan struct{} // closed to end the work with mesh.ErrStopped
}

// options are those of joining and cutting.
func (s *Settings) options() mesh.Options {
	return mesh.Options{Workers: s.Workers, Stop: s.stop}
}

// Part is a part of the mechanism as gauges need it.
type Part struct {
	Name  string
	Color string
	Mesh  *mesh.Mesh  // as drawn, sound
	Print geom.Motion // the way up in which it prints (rotation only)
}

// Piece is one body of a gauge, lying as it prints, its corner at the origin.
type Piece struct {
	Name  string
	Color string
	Mesh  *mesh.Mesh
}

// Place is one labelled place of a gauge, to be felt or measured.
type Place struct {
	Label   string  // raised beside it: "0.20"
	What    string  // "socket", "hole", "peg", "length"
	Do      string  // what to do with it, a whole sentence
	Felt    bool    // it is felt; otherwise it is measured
	Gap     float64 // a side, mm, as exported; 0 where it is only measured
	Nominal float64 // size to be measured, mm; 0 where it is only felt
	Across  float64 // diameter of a round fit that is felt, mm; 0 for flat walls
	Hollow  bool    // what is measured is a hollow: growth makes it smaller
	Upright bool    // the axis of the hollow or peg stands upright in the print
}

// Gauge is one small print.
type Gauge struct {
	Name    string // a file name: "fit-1-room-rod"
	Title   string
	Fit     *mating.Fit // nil for the plain ladder
	Pieces  []Piece
	Places  []Place
	Minutes float64
	Grams   float64
	Notes   []string
}

// Refused is a fit of which no gauge was cut, and why.
type Refused struct {
	Fit mating.Fit
	Why string
}
