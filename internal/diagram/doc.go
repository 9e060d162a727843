// Package diagram keeps sets of configurations as ordered interval decision
// diagrams.
//
// A Space is a product of levels; a level is a line (or a ring, if Cyclic) of
// units 0..Size-1. A Set is a handle to a set of points of the space. Along a
// path from the root every node cuts its level into runs of units, each with a
// child; equal nodes are shared and equal neighbours merged, so that two sets are
// equal exactly when their handles are. The method is that of R. Bryant's ordered
// binary diagrams ("Graph-Based Algorithms for Boolean Function Manipulation",
// IEEE Trans. Computers C-35, 1986) with intervals for bits, as in K. Strehl and
// L. Thiele, "Symbolic Model Checking of Process Networks Using Interval Diagram
// Techniques" (ICCAD 1998); Close is the saturation of G. Ciardo, G. Lüttgen and
// R. Siminiscu ("Saturation: an efficient iteration strategy for symbolic
// state-space generation", TACAS 2001) for the one operator that is needed here,
// the sweep along a level.
//
// Memory is bounded: the operation cache has a fixed greatest size and the nodes
// a limit. A Space that has met its limit, or whose context has ended, keeps the
// error in Err, as a bufio.Scanner does: every Set made since is then without
// meaning, and a caller must ask Err before it believes an answer. A Space is
// not for use by several goroutines at once.
package diagram
