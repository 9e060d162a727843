// Package geom holds points, rigid motions, lines and boxes, and the distances
// between points, segments and triangles on which every other package rests.
//
// Lengths are mm, angles radians. Vectors are gonum's r3.Vec, so that all of
// gonum.org/v1/gonum/spatial/r3 applies to them. The package knows nothing of
// parts, meshes or files, and never allocates in its kernels.
package geom
