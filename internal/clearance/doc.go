// Package clearance maps the signed clearance of a pair of parts over the
// coordinates of their relative motion, with certified bounds.
//
// A map divides the box of the coordinates into cells that tile it; every cell
// carries a lower and an upper bound of the clearance that hold in the whole
// closed cell, computed on the meshes themselves and rounded outwards. The
// package never guesses: what is not known is a cell whose bounds are apart.
package clearance
