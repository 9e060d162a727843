package survey

import (
	"math"
	"slices"

	"feint/internal/forces/caution"
	"feint/internal/forces/strength"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// caution gathers what can hurt someone: once for every size of magnet, for every part
// that comes out, for the weakest feature, for the strongest lid, and for heat.
func (s *Survey) caution(m *mechanism.Mechanism, meshes []*mesh.Mesh) {
	type size struct{ d, l, br float64 }
	seen := map[size]bool{}
	for i := range s.Magnets {
		p := &s.Magnets[i]
		k := size{p.Magnet.D, p.Magnet.L, p.Magnet.Br.Hi}
		if !p.Steel && !seen[k] {
			seen[k] = true
			s.Cautions = append(s.Cautions, caution.Magnet(m.Parts[p.Part].Name+", "+p.Name, &p.Magnet))
		}
	}
	out := comesOut(m)
	for i := range m.Parts {
		if !out[i] || meshes[i] == nil || m.Elsewhere(i) { // one thing, drawn more than once
			continue
		}
		b := meshes[i].Bounds()
		if c, ok := caution.Piece(m.Parts[i].Name, r3.Sub(b.Hi, b.Lo)); ok {
			s.Cautions = append(s.Cautions, c)
		}
	}
	s.fragments(m)
	most := 0
	for i, l := range s.Lids {
		if l.Pull.Hi > s.Lids[most].Pull.Hi {
			most = i
		}
	}
	if len(s.Lids) > 0 && s.Lids[most].Pull.Hi >= Pinches {
		s.Cautions = append(s.Cautions, caution.Pinch(m.Parts[s.Lids[most].Part].Name, s.Lids[most].Pull.Hi))
	}
	s.heat(m)
}

// Pinches is from what force a lid that shuts by itself is warned of, N (common practice,
// no source: one kilogram on a fingertip hurts).
const Pinches = 10.0

func (s *Survey) fragments(m *mechanism.Mechanism) {
	weak := -1
	for i := range s.Features {
		if weak < 0 || s.Features[i].Force.Lo < s.Features[weak].Force.Lo {
			weak = i
		}
	}
	if weak >= 0 && s.Features[weak].Force.Lo < strength.HandOf(strength.Pull).Strong {
		f := &s.Features[weak]
		s.Cautions = append(s.Cautions, caution.Fragments(m.Parts[f.Part].Name, f.Force.Lo))
	}
}

// heat warns where warmth undoes more than the look: of magnets, springs and press fits.
func (s *Survey) heat(m *mechanism.Mechanism) {
	springs := slices.ContainsFunc(m.Travels, func(t mechanism.Travel) bool { return t.Spring != nil })
	if len(s.Magnets) == 0 && !springs && len(m.PressFits) == 0 {
		return
	}
	name, least := "", math.Inf(1)
	for i := range m.Parts {
		p := &m.Parts[i]
		if at, ok := caution.Softens(p.Material.Name); ok && !p.Material.Bought && at < least {
			name, least = p.Material.Name, at
		}
	}
	if name != "" {
		s.Cautions = append(s.Cautions, caution.Warm(name, least, len(s.Magnets) > 0))
	}
}

// comesOut tells which parts leave the box: tools, and what the goal moves.
func comesOut(m *mechanism.Mechanism) []bool {
	out := make([]bool, len(m.Parts))
	for _, t := range m.Tools {
		for _, s := range t.Seats {
			out[s.Part] = true
		}
	}
	for _, b := range m.Goal.Bounds {
		out[m.Travels[b.Travel].Part] = true
	}
	return out
}
