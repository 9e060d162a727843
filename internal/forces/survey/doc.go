// Package survey goes over a whole mechanism and gathers what its forces are: magnets
// that meet and how, lids that magnets hold, what stands out and breaks first, and the
// cautions that belong to it. It judges nothing; rules do.
//
// Magnets are looked at wherever the travels could bring them, walls aside: at the start,
// over a lattice of the one or two travels between them (of more, one at a time), and at
// the nearest place found from there.
package survey
