// Package printable tells how a part will print: for a way up on the plate the
// overhangs, bridges and supports, the faces on the first layer, the walls that
// are too thin and the plastic that could be left out, mass, filament and time;
// and it compares ways up and offers the best.
//
// Everything is measured on the mesh that is exported. Areas of overhangs are
// those of the facets; support volumes are integrated over vertical columns;
// thickness is that of the largest ball that fits inside and touches the face.
// The model of cost slices the mesh and accounts for walls, skins, infill,
// supports, speeds, the flow limit and the least time of a layer; its two pace
// constants can be fitted to a maker's own times (FitPace). It is an estimate and
// says so: a slicer's own figures, and the clock, are the truth.
//
// The package knows no printer: Settings are plain numbers. Lengths mm, angles
// radians, masses g, times minutes.
package printable
