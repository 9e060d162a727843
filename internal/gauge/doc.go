// Package gauge makes gauges: small prints with which a maker learns how large a
// printer prints, cut from the design itself.
//
// A gauge of a fit is the design's own hollow (bore, groove, gate, bed) cut out
// round the place where the parts slide, several times at a ladder of gaps, and
// the part that runs in it, cut to a plug with a handle. Everything prints the way
// up that the part does. Only the faces that slide are moved; the rest is the
// exported mesh. The plain ladder is the same with pegs in round holes, and a bar
// with steps for the calipers.
//
// Of a hollow too wide for a small print it is a section: two facing pieces of its
// walls on a bar, and the pieces of the inner part that run between them on another.
//
// Every label tells the gap per side; the list beside it says both that and the
// gap across. Every gauge is told with feint's own estimate of minutes and grams.
// Readings come back as a table (Readings, WriteReadings, ReadReadings).
package gauge
