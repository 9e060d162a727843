// Package strength estimates what breaks: sections of parts read from their meshes,
// how thick their walls are, which protruding pin, web, lug or lip gives way first and
// at what force, and what weak and strong hands do.
//
// Everything here is an estimate. Prints of one file differ by tens of per cent, knocks
// and notches weaken further, and no number replaces a test of the printed part.
package strength
