// Package clearance maps the signed clearance of a pair of parts over the
// coordinates of their relative motion, with certified bounds.
//
// A map divides the box of the coordinates into cells that tile it; every cell
// carries a lower and an upper bound of the clearance that hold in the whole
// closed cell, computed on the meshes themselves and rounded outwards. The
// package never guesses: what is not known is a cell whose bounds are apart.
//
// The argument for depth. Clearance below zero is how deep the surface of one part
// lies within the other. If a shift u, the same for all of a cell, takes part a apart
// from part b, with every shell outside the other, then no point of either surface is
// deeper than |u|: a point x of a's surface that is d deep in b has all of the ball of
// radius d about it in b, so for d > |u| the point x + u of the shifted a would still
// lie in b, and so the other way round with -u. A cell is therefore free at -|u|.
//
// That holds for every piece of surface by itself, and each may have a shift of its
// own: a rod whose pin lies in a wall need not leave its narrow bore. Pieces that may
// cross the other part somewhere in the cell are shown so one by one, with those that
// join them inside it; all others are outside: see shallows.
//
// That it is blocked at -d is shown by a witness more than d deep in the whole cell.
// Where neither is found, as for a part that two walls pinch, the cell stays open.
package clearance
