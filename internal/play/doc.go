// Package play measures, on the meshes, how far a part can be pushed sideways
// or tipped within its own guide.
//
// A part is advanced from where it starts, in directions that none of its
// travels allows, until it touches what guides it. Every advance is bounded by
// the distance still free (conservative advancement; B. Mirtich, Impulse-based
// Dynamic Simulation, 1996, section 2.3), so no contact is jumped over: what is
// reported can be reached, and goes no further than Touch beyond it.
package play
