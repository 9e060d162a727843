// Package wording puts values, travels and strokes into the words that every
// output shares, in plain ASCII apart from what the maker wrote.
//
// A certified lower bound of a clearance is rounded down, never up. Names come
// from strangers' designs: Name makes them harmless on a terminal (nothing that
// is not printable gets through); markup is for the outputs to escape.
package wording
