// Package magnet gives the force and the field of cylindrical magnets that are
// magnetised along their axis: pairs, magnet and thick steel, in line, beside each
// other and askew; what a lid held by them stands; and which poles meet in which
// configuration.
//
// A magnet is two charged discs (rigid magnetisation, recoil permeability 1). Real
// magnets of recoil permeability 1.03 to 1.1 pull less; Recoil is by how much.
//
// Of a magnet and a piece of steel the upper end is the pull on the mirror image, that of
// steel without end (Beleggia et al. 2012). No formula that we know bounds the pull on a
// small piece from below: its energy has such a bound, but the pull is the slope of the
// energy. The lower end is therefore a share of the upper that a solution of the field
// holds with room to spare: axisymmetric finite volumes with a steel that saturates sooner
// than mild steel does (the tests have it, and check it against the image). It is told for
// discs that lie flat before a face and cover it, and falls with the thickness below that
// which carries the flux that the image draws in; else it is 0, with the reason.
//
// Values are computed, not measured: a magnet's grade, coating and maker decide.
package magnet
