// Package mating tells which faces of the parts of a mechanism slide along each
// other, how near, and in which configuration they do.
//
// Parts are moved along the travels between them as far as they go without
// touching (a flood over a grid of the pair's travels from the start), and their
// faces are sampled: where a face has another part's face close in front of it
// while the motion runs along the face, the two slide on each other. That is a
// sample of the truth, good enough to cut a gauge or to keep supports away from a
// face, and no proof: a place that the flood or the sampling steps over is not
// told. Certified clearances come from package clearance.
package mating
