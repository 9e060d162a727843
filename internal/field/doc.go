// Package field describes solids by functions of a point: negative inside,
// positive outside, zero on the surface, mm. It is the independent check of the
// facetted solids and shares no code with their making.
//
// Every Field here has the right sign everywhere, and its absolute value is
// never more than the distance to the surface (a lower bound), so that a ray may
// step by it without passing through a surface. Where a constructor says exact,
// the value is the distance itself. The combinators keep both promises: they
// are least and greatest values of functions that change by no more than 1 mm a
// mm (J. C. Hart, Sphere tracing, The Visual Computer 12 (1996), sections 2 and 3).
//
// The package knows nothing of designs, meshes or files.
package field
