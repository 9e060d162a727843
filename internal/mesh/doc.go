// Package mesh holds triangle meshes: exact arrangement (join, cut, common),
// cleaning, distance, and the checks that tell whether a mesh bounds a solid.
//
// A solid's mesh is closed, two-manifold, outward facing and free of
// self-intersection; what is not is named with its place. Coordinates are mm.
// The package never reads a file and never repairs in silence.
package mesh
