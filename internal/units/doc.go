// Package units names the quantities that could be mistaken for one another and
// converts them at the borders of the program.
//
// Inside feint lengths are millimetres, angles radians, forces newtons,
// stresses megapascals and masses kilograms. Outside (files, outputs, the
// command line) angles are degrees. The package never rounds and never formats
// for a particular output.
package units
