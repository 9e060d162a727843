// Package magnet gives the force and the field of cylindrical magnets that are
// magnetised along their axis: pairs, magnet and thick steel, in line, beside each
// other and askew; what a lid held by them stands; and which poles meet in which
// configuration.
//
// A magnet is two charged discs (rigid magnetisation, recoil permeability 1). Real
// magnets of recoil permeability 1.03 to 1.1 pull less; Recoil is by how much.
// Values are computed, not measured: a magnet's grade, coating and maker decide.
package magnet
