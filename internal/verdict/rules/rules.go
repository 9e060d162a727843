// Package rules lists the rules in the order in which their findings are told.
// Each rule is a package below it, with its documentation in doc.md.
package rules

import (
	"slices"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/rules/bed"
	"feint/internal/verdict/rules/boreundersize"
	"feint/internal/verdict/rules/bridge"
	"feint/internal/verdict/rules/brokenmesh"
	"feint/internal/verdict/rules/cautions"
	"feint/internal/verdict/rules/clashatstart"
	"feint/internal/verdict/rules/climb"
	"feint/internal/verdict/rules/cocking"
	"feint/internal/verdict/rules/creep"
	"feint/internal/verdict/rules/facets"
	"feint/internal/verdict/rules/flare"
	"feint/internal/verdict/rules/fused"
	"feint/internal/verdict/rules/gravitypin"
	"feint/internal/verdict/rules/halfaligned"
	"feint/internal/verdict/rules/holdstrong"
	"feint/internal/verdict/rules/holdweak"
	"feint/internal/verdict/rules/idlestep"
	"feint/internal/verdict/rules/knockopen"
	"feint/internal/verdict/rules/layerstep"
	"feint/internal/verdict/rules/mirrored"
	"feint/internal/verdict/rules/narrowwindow"
	"feint/internal/verdict/rules/needlesssupport"
	"feint/internal/verdict/rules/neighbours"
	"feint/internal/verdict/rules/noassembly"
	"feint/internal/verdict/rules/noreset"
	"feint/internal/verdict/rules/oval"
	"feint/internal/verdict/rules/overhang"
	"feint/internal/verdict/rules/playleak"
	"feint/internal/verdict/rules/pried"
	"feint/internal/verdict/rules/proud"
	"feint/internal/verdict/rules/pushreach"
	"feint/internal/verdict/rules/sag"
	"feint/internal/verdict/rules/scale"
	"feint/internal/verdict/rules/seam"
	"feint/internal/verdict/rules/selfturning"
	"feint/internal/verdict/rules/shakeopen"
	"feint/internal/verdict/rules/shrink"
	"feint/internal/verdict/rules/snap"
	"feint/internal/verdict/rules/spinopen"
	"feint/internal/verdict/rules/stack"
	"feint/internal/verdict/rules/supportinslide"
	"feint/internal/verdict/rules/thickwall"
	"feint/internal/verdict/rules/thinwall"
	"feint/internal/verdict/rules/thinweb"
	"feint/internal/verdict/rules/tiltopen"
	"feint/internal/verdict/rules/together"
	"feint/internal/verdict/rules/trap"
	"feint/internal/verdict/rules/units"
	"feint/internal/verdict/rules/unnamedstep"
	"feint/internal/verdict/rules/wayblocked"
	"feint/internal/verdict/rules/wear"
	"feint/internal/verdict/rules/wrongpole"
	"feint/internal/verdict/rules/wrongwayup"
)

// All gives every rule: what stops a proof first, then what stops a box.
func All() []finding.Rule {
	return slices.Concat([]finding.Rule{
		brokenmesh.Rule(),
		units.Rule(),
		clashatstart.Rule(),
		wayblocked.Rule(),
		halfaligned.Rule(),
		playleak.Rule(),
		together.Rule(),
		climb.Rule(),
		pried.Rule(),
		narrowwindow.Rule(),
		idlestep.Rule(),
		unnamedstep.Rule(),
		facets.Rule(),
		thinweb.Rule(),
		trap.Rule(),
		pushreach.Rule(),
		noreset.Rule(),
		wrongpole.Rule(),
		holdweak.Rule(),
		holdstrong.Rule(),
		neighbours.Rule(),
		proud.Rule(),
		sag.Rule(),
		snap.Rule(),
		selfturning.Rule(),
		gravitypin.Rule(),
		creep.Rule(),
		wear.Rule(),
		noassembly.Rule(),
		wrongwayup.Rule(),
		cautions.Rule(),
		overhang.Rule(),
		bridge.Rule(),
		supportinslide.Rule(),
		needlesssupport.Rule(),
		thickwall.Rule(),
		thinwall.Rule(),
		bed.Rule(),
		flare.Rule(),
		boreundersize.Rule(),
		layerstep.Rule(),
		fused.Rule(),
		seam.Rule(),
		oval.Rule(),
		shrink.Rule(),
		scale.Rule(),
		cocking.Rule(),
		stack.Rule(),
		mirrored.Rule(),
	}, []finding.Rule{tiltopen.Rule(), shakeopen.Rule(), spinopen.Rule(), knockopen.Rule()})
}
