// Package printed models the surface that a printer really makes of a drawn one.
//
// A Model says for every effect of printing (growth of upright walls, of holes
// and pegs by size, growth and whole layers in height, flare of the first layers,
// seam, oval rings, shrink by material, give under the hand, wear with use) how
// large it is on average, how much it differs from print to print and from
// feature to feature of one print. A Place is a spot of a part's surface as it
// lies on the plate; Model, Print and Feature together give its growth.
//
// What enters exactly and what as a bound:
//
//   - In-plane growth, bores and pegs by size, height, whole layers and shrink have
//     a direction; they enter the growth of a Place by its normal, its curvature,
//     its height above the plate and its arm.
//   - Flare enters at places within the flared height.
//   - A seam stands somewhere on every contour: it raises the upper bound of the
//     growth of every wall, unless a seam zone is given, in which case it raises
//     the growth there and nowhere else. An oval ring widens the bounds both ways.
//   - Give and wear lower the growth of every printed surface.
//
// The package knows no mechanism and no mesh, and looks at no clock: random
// numbers come from a generator that the caller seeds.
package printed
