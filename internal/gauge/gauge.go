package gauge

import (
	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/mechanism"
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
	Line, Layer float64   // of the printer, mm
	Gaps        []float64 // of the ladder, mm a side, rising; nil takes Ladder
	Workers     int
	Estimate    Estimator
}

// Piece is one body on the plate of a gauge, lying as it prints.
type Piece struct {
	Name  string
	Color string
	Mesh  *mesh.Mesh
	At    geom.Motion // its place on the plate
}

// Place is one labelled place of a gauge.
type Place struct {
	Label    string  // raised beside it: "0.20"
	What     string  // "socket", "peg", "step", "plug"
	Measure  string  // what to do with it
	Felt     bool    // it is felt; otherwise it is measured
	Gap      float64 // a side, mm, as exported; measured on the meshes
	Nominal  float64 // size to be measured with the calipers, mm; 0 where there is none
	Upright  bool    // the hollow's axis stands upright in the print
	Surfaces int     // how many printed surfaces share the gap or the size: 2 for a fit
}

// Gauge is one small print.
type Gauge struct {
	Name    string // "fit-1 rod in frame"
	Title   string
	Fit     *mating.Fit // nil for the plain ladder
	Parts   [2]int      // outer and inner part; -1 for the plain ladder
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

// Cut makes a gauge for every fit that one can be cut of, within MostMinutes and
// MostGrams each. What cannot be cut is told in refused.
func Cut(m *mechanism.Mechanism, meshes []*mesh.Mesh, fits []mating.Fit, s Settings) (gs []Gauge, refused []Refused, err error) {
	return cutAll(m, meshes, fits, s)
}
