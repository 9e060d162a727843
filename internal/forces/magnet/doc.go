// Package magnet gives the force and the field of cylindrical magnets that are
// magnetised along their axis: pairs, magnet and thick steel, in line, beside each
// other and askew; what a lid held by them stands; and which poles meet in which
// configuration.
//
// A magnet is two charged discs (rigid magnetisation, recoil permeability 1). Real
// magnets of recoil permeability 1.03 to 1.1 pull less; Recoil is by how much.
//
// Of a magnet and a piece of steel only the upper end is a bound: the pull on the mirror
// image, that of steel without end. The lower end stays 0, because no formula that we know
// bounds the pull on a small piece from below. What a piece of volume V takes from the
// field B of the magnet has at least the energy (1/2 mu0) times the integral of B2 over V,
// below saturation (the variational bound of W. F. Brown, Magnetostatic Principles in
// Ferromagnetism, 1962; from memory), but the pull is the slope of that energy over the
// gap, and a bound of a function is none of its slope. Thickness alone does not help
// either: from t = R B/(2 Bs) on (Bs some 1.6 T of mild steel) a sheet carries all the flux
// of a pole of radius R (flux through the pole against that through the rim of the sheet),
// which says when it is not saturated, not how hard a disc of finite width is pulled.
//
// Values are computed, not measured: a magnet's grade, coating and maker decide.
package magnet
