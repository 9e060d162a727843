// Package proof checks answers that others have found: a way from the start to
// the goal, the impossibility of one, the blocked places on which the latter
// rests.
//
// It shares neither bounds nor maps with the search and is short enough to be
// read in one sitting. A check that returns nil has shown the claim; an error
// that is ErrRefused has met something that speaks against it; one that is
// ErrOpen could not tell. The package never searches for an answer itself.
//
// How a way is checked (Walk): while one travel moves, two parts are seen in the
// frame of that travel, its axis being the z axis. Boxes in x, y, z and in
// radius, angle and height bound the distance of whole regions over the whole
// stroke; where they do not do, a plane that parts two triangles over the whole
// interval does; where that does not, the interval is halved. Where parts may
// overlap by a depth, what crosses is shown to stay that near to the other part's
// surface, piece by piece. Nothing is sampled: what is not shown for every value
// is not shown.
//
// Ways on which parts are pushed, fall, spring back or are turned with the box are
// replayed (Led): the checker is given what the hand does, and finds out by itself, by
// the same continuous look at every run, what that brings about. That no such way leads
// into the goal is shown by a set of situations that the law, put down here a second time
// and followed unit by unit, does not lead out of (LawClosed); that the law on units is
// the design's, by comparing the two and looking at some places (LawFits).
package proof
