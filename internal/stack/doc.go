// Package stack adds up the tolerances of a chain of dimensions: the gap that is
// left, say, when a lid, a ring and a washer stand in a box.
//
// A Chain is a signed sum of dimensions. Worst is what can be at most, Root what
// the root of the sum of squares gives, Simulate a seeded sample with the
// distribution of each dimension, Shares who contributes how much. Lengths are
// millimetres throughout; the package knows no design and no printer.
package stack
