package load

import (
	"feint/internal/forces"
	"feint/internal/forces/friction"
	"feint/internal/forces/mass"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// Box is a mechanism with its bodies weighed and its guides measured. The maker's
// settings may be laid over the fields before Travels is called; nil slices are
// "none".
type Box struct {
	Mechanism *mechanism.Mechanism
	Mass      []mass.Properties // by part, as drawn
	Friction  []forces.Interval // by travel
	Guide     []Guide           // by travel, Middle in the frame of the box at Start
	Hold      []forces.Interval // by travel, as in Travel
	Bias      []forces.Interval // by travel, as in Travel
	Barrier   []forces.Interval // by travel, as in Travel
}

// NewBox weighs every part with its magnets and pieces of steel, as printed with its
// walls and infill or, where none are said, filled with its material, and measures where
// each is guided at the start. meshes[i] is part i as drawn; nil ones weigh nothing and
// guide nothing. Friction is that of the part's material on its carrier's.
func NewBox(m *mechanism.Mechanism, meshes []*mesh.Mesh) *Box {
	b := &Box{Mechanism: m, Mass: make([]mass.Properties, len(m.Parts))}
	trees := make([]*mesh.Tree, len(m.Parts))
	for i, s := range meshes {
		if s != nil && len(s.T) > 0 {
			trees[i] = mesh.NewTree(s)
			b.Mass[i] = weigh(&m.Parts[i], trees[i])
		}
	}
	b.Friction = make([]forces.Interval, len(m.Travels))
	b.Guide = make([]Guide, len(m.Travels))
	for p := range m.Parts {
		if len(m.Parts[p].Travels) == 0 {
			continue
		}
		near := contact(m, trees, p, m.Start)
		for _, t := range m.Parts[p].Travels {
			b.Guide[t] = guide(m.Travels[t].Kind, b.axis(t, m.Start), near)
			b.Friction[t], _ = friction.Between(m.Parts[p].Material.Name, b.carrierMaterial(p))
		}
	}
	return b
}

// Densities of what is put into parts, g/cm3: sintered neodymium (usual value of
// makers) and steel (EN 1993-1-1, 3.2.6).
const (
	neodymium = 7.5
	steel     = 7.85
)

// weigh is the mass of a part as drawn. A setting out of range, which the design
// language refuses, weighs as solid.
func weigh(p *mechanism.Part, t *mesh.Tree) mass.Properties {
	body := mass.Solid(t.Mesh(), p.Material.Density)
	if p.Walls > 0 && !p.Material.Bought {
		if printed, _, err := mass.Printed(t, p.Material.Density, mass.Fill{Wall: p.Walls, Infill: p.Infill}); err == nil {
			body = printed
		}
	}
	for _, m := range p.Magnets {
		d := neodymium
		if m.Steel {
			d = steel
		}
		body = mass.Together(body, mass.Rod(m.Center, m.North, m.D, m.H, d))
	}
	return body
}

func (b *Box) carrierMaterial(part int) string {
	if c := b.Mechanism.Parts[part].Carrier; c >= 0 {
		return b.Mechanism.Parts[c].Material.Name
	}
	return ""
}

// Total is the mass of all parts, kg.
func (b *Box) Total() float64 {
	sum := 0.0
	for _, p := range b.Mass {
		sum += p.Mass
	}
	return sum
}

// Travels gives the data of every travel at configuration q, in the order of the
// mechanism. A guide is taken to stay where it was on the carrier.
func (b *Box) Travels(q []float64) []Travel {
	m := b.Mechanism
	out := make([]Travel, len(m.Travels))
	for p := range m.Parts {
		if len(m.Parts[p].Travels) == 0 {
			continue
		}
		with := b.carried(p, q)
		for _, t := range m.Parts[p].Travels {
			out[t] = b.travel(t, q, with)
		}
	}
	return out
}

// Travel is one of Travels, for less work.
func (b *Box) Travel(t int, q []float64) Travel {
	return b.travel(t, q, b.carried(b.Mechanism.Travels[t].Part, q))
}

func (b *Box) travel(t int, q []float64, with mass.Properties) Travel {
	v := &b.Mechanism.Travels[t]
	out := Travel{Kind: v.Kind, Axis: b.axis(t, q), Lead: v.Lead, Mass: with, Friction: b.Friction[t], Guide: b.guideAt(t, q)}
	for _, f := range []struct {
		to   *forces.Interval
		from []forces.Interval
	}{{&out.Hold, b.Hold}, {&out.Bias, b.Bias}, {&out.Barrier, b.Barrier}} {
		if f.from != nil {
			*f.to = f.from[t]
		}
	}
	return out
}

// carried is the body of the part and of all that rides on it, at q.
func (b *Box) carried(part int, q []float64) mass.Properties {
	m := b.Mechanism
	var out []mass.Properties
	for o := range m.Parts {
		for p := o; p >= 0; p = m.Parts[p].Carrier {
			if p == part {
				out = append(out, b.Mass[o].Moved(m.Pose(o, q)))
				break
			}
		}
	}
	return mass.Together(out...)
}

// carry is the motion of what travel t moves against: its carrier, and the travels
// of its own part that come before it.
func (b *Box) carry(t int, q []float64) geom.Motion {
	m := b.Mechanism
	part := &m.Parts[m.Travels[t].Part]
	g := geom.Identity()
	before := false
	for i := len(part.Travels) - 1; i >= 0; i-- {
		o := part.Travels[i]
		if before {
			g = g.Then(m.Travels[o].Motion(q[o]))
		}
		before = before || o == t
	}
	if part.Carrier >= 0 {
		g = g.Then(m.Pose(part.Carrier, q))
	}
	return g
}

func (b *Box) axis(t int, q []float64) geom.Line {
	g, l := b.carry(t, q), b.Mechanism.Travels[t].Axis
	return geom.Line{Point: g.Apply(l.Point), Dir: g.Turn(l.Dir)}
}

func (b *Box) guideAt(t int, q []float64) Guide {
	g := b.Guide[t]
	if g.Length > 0 {
		move := b.carry(t, b.Mechanism.Start).Inverse().Then(b.carry(t, q))
		g.Middle = move.Apply(g.Middle)
	}
	return g
}
