package pipeline

import (
	"slices"

	"feint/internal/forces/load"
	"feint/internal/forces/survey"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/verdict"
)

// need is what must be found anew for a rule to be asked again of a changed design.
type need uint8

const (
	needsProof    need = iota // everything
	needsDesign               // what is written in the design
	needsForces               // magnets, guides, weights and what breaks, of the parts concerned
	needsCock                 // one slide's guide and where it is pushed
	needsPrinting             // fits, walls and overhangs of the parts concerned
	needsStart                // the clearance of two parts at the start
	needsHandling             // what sets travels free at the start, every part drawn as before
	needsNothing              // no param can cure it, or another stage has tried already
)

// needOf is what the rule of a finding needs.
func needOf(f *verdict.Finding) need {
	switch f.Rule {
	case "stack", "creep":
		return needsDesign
	case "wear":
		if f.Where.Step == "" { // a detent
			return needsDesign
		}
		return needsProof
	case "hold-weak", "hold-strong", "neighbours", "wrong-pole", "proud", "sag", "snap", "self-turning", "gravity-pin":
		return needsForces
	case "cocking":
		return needsCock
	case "tilt-open", "shake-open", "spin-open", "knock-open":
		return needsHandling
	case "overhang", "bridge", "support-in-slide", "needless-support", "thin-wall", "thin-web", "bed", "flare",
		"bore-undersize", "layer-step", "fused", "seam", "oval", "shrink":
		return needsPrinting
	case "scale":
		if len(f.Where.Parts) > 0 { // bought ones: of their fits alone
			return needsPrinting
		}
		return needsProof
	case "clash-at-start":
		if len(f.Where.Parts) == 2 {
			return needsStart
		}
		return needsProof
	case "cautions", "mirrored", "broken-mesh", "unnamed-step", "thick-wall":
		return needsNothing
	}
	return needsProof
}

// rules lists those that are asked with that of a finding, so that it is seen what else a
// change brings.
func (n need) rules(of string) []string {
	switch n {
	case needsForces:
		if wanted(of) == survey.Magnets {
			return []string{"hold-weak", "hold-strong", "neighbours", "wrong-pole"}
		}
		if wanted(of) == survey.Pockets {
			return []string{"proud", "sag"}
		}
		return []string{of}
	case needsPrinting:
		return []string{
			"overhang", "bridge", "support-in-slide", "needless-support", "thin-wall", "thin-web", "bed", "flare",
			"bore-undersize", "layer-step", "fused", "seam", "oval", "shrink", "scale",
		}
	default:
		return []string{of}
	}
}

// wanted is what of the forces a rule measures.
func wanted(rule string) survey.What {
	switch rule {
	case "snap":
		return survey.Weak
	case "self-turning":
		return survey.Helices
	case "gravity-pin":
		return survey.Falling
	case "proud", "sag":
		return survey.Pockets
	}
	return survey.Magnets
}

// concerned lists the parts on whose bodies a finding hangs.
func concerned(m *mechanism.Mechanism, bs []Body, f *verdict.Finding, n need, ev *verdict.Evidence) []int {
	parts := slices.Clone(f.Where.Parts)
	switch n {
	case needsDesign, needsProof, needsNothing:
		return nil
	case needsHandling:
		parts = nil
		for i := range m.Parts {
			parts = append(parts, i)
		}
	case needsStart:
	case needsCock, needsForces:
		for _, p := range f.Where.Parts {
			if f.Rule == "snap" || f.Rule == "proud" || f.Rule == "sag" { // of the part alone
				break
			}
			if c := m.Parts[p].Carrier; c >= 0 {
				parts = append(parts, c)
			}
			for i := range m.Parts { // and what weighs on it
				if n == needsForces && (rides(m, i, p) || guides(m, bs, p, i)) {
					parts = append(parts, i)
				}
			}
		}
	case needsPrinting:
		if ev.Printing == nil || !slices.Contains([]string{"support-in-slide", "thin-web", "layer-step"}, f.Rule) {
			break
		}
		for _, p := range f.Where.Parts { // and what slides on it
			for i := range ev.Printing.Pieces[p].Slides {
				parts = append(parts, ev.Printing.Pieces[p].Slides[i].Other)
			}
		}
	}
	slices.Sort(parts)
	return slices.Compact(parts)
}

// guides tells whether part o may guide part p at the start: whether their bounds come as
// near to each other as what guides.
func guides(m *mechanism.Mechanism, bs []Body, p, o int) bool {
	at := func(i int) geom.Box {
		g, b := m.Pose(i, m.Start), geom.EmptyBox()
		for _, v := range bs[i].Mesh.V {
			b = b.Add(g.Apply(v))
		}
		return b
	}
	return at(p).Distance(at(o)) <= load.Near
}
