package pipeline

import (
	"slices"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/play"
	"feint/internal/printable"
	"feint/internal/verdict"

	"gonum.org/v1/gonum/spatial/r3"
)

// climbs measures how deep parts stand in the tracks of others, and how far their play
// takes them out: of every two parts that place and way out where least is left.
func climbs(out *Outcome, s *printable.Survey, plays []play.Play) []verdict.Climb {
	if s == nil {
		return nil
	}
	m := out.Mechanism
	var all []verdict.Climb
	for i := range s.Fits {
		f := &s.Fits[i]
		if !out.Bodies[f.Outer].Sound() || !out.Bodies[f.Inner].Sound() {
			continue
		}
		for _, d := range f.Depths(m, out.Bodies[f.Outer].Tree(), out.Bodies[f.Inner].Tree()) {
			pose := m.Pose(f.Outer, f.Config)
			k := verdict.Climb{Inner: f.Inner, Outer: f.Outer, Depth: d.Far, At: pose.Apply(f.Middle)}
			b := &backed{m: m, plays: plays}
			back := f.Relative.Inverse()
			if m.Parts[f.Outer].Carrier != f.Inner {
				b.add(f.Inner, back.Apply(f.Middle), back.Turn(d.Out))
			}
			if m.Parts[f.Inner].Carrier != f.Outer {
				b.add(f.Outer, f.Middle, r3.Scale(-1, d.Out))
			}
			if !b.unknown {
				k.Play, k.Playing = b.far, b.parts
				all = append(all, k)
			}
		}
	}
	return leastLeft(all)
}

// leastLeft keeps of every two parts the climb with least left, in their order.
func leastLeft(all []verdict.Climb) []verdict.Climb {
	var out []verdict.Climb
	for _, k := range all {
		i := slices.IndexFunc(out, func(o verdict.Climb) bool { return o.Inner == k.Inner && o.Outer == k.Outer })
		switch {
		case i < 0:
			out = append(out, k)
		case k.Depth-k.Play < out[i].Depth-out[i].Play:
			out[i] = k
		}
	}
	return out
}

// backed adds up how far parts may back away within their play.
type backed struct {
	m       *mechanism.Mechanism
	plays   []play.Play
	far     float64
	parts   int
	unknown bool // a part is not guided, or touches its guide at the start
}

// add takes the play of a part at the point x in the direction d, both as it is drawn.
// Its play is that of the start: it is taken to be as far off its line elsewhere.
func (b *backed) add(part int, x, d geom.Vec) {
	i := slices.IndexFunc(b.plays, func(p play.Play) bool { return p.Part == part })
	if i < 0 {
		b.unknown = b.unknown || len(b.m.Parts[part].Travels) > 0
		return
	}
	p := &b.plays[i]
	if p.Unguided || p.Immovable {
		b.unknown = true
		return
	}
	pose := b.m.Pose(part, b.m.Start)
	b.far += p.Toward(pose.Apply(x), pose.Turn(d))
	b.parts++
}
