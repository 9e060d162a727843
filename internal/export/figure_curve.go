package export

import (
	"math"

	"feint/internal/forces"
	"feint/internal/verdict/wording"
)

// A panel draws one curve with what is not known of it as a band. Units of the drawing.
const (
	panelHigh  = 170.0
	panelLeft  = 60.0
	panelRight = 24.0
	panelTop   = 40.0
	panelFoot  = 48.0
	labelHigh  = 11.0
	panelTicks = 7 // at most about so many, in a narrow window fewer
	panelFew   = 4
)

// panel is a curve with its axes.
type panel struct {
	title  string
	across string            // what the axis across tells, with its unit
	up     string            // the same upwards
	at     []float64         // ascending
	span   []forces.Interval // at each, bounded
	levels []panelLevel      // to compare with
}

// panelLevel is a level that the curve is to be compared with.
type panelLevel struct {
	at    float64
	words string
}

// panels draws curves one below the other.
func panels(name string, ps []panel, w float64) string {
	var g svgText
	each := panelTop + panelHigh + panelFoot
	g.open("scale", name+"; the tables below say the same", w, each*float64(len(ps)))
	for i := range ps {
		ps[i].draw(&g, each*float64(i), w)
	}
	return g.close()
}

func (p *panel) draw(g *svgText, top, w float64) {
	lo, hi := p.bounds()
	first, last := p.at[0], p.at[len(p.at)-1]
	if last <= first {
		last = first + 1
	}
	x := func(v float64) float64 { return panelLeft + (v-first)/(last-first)*(w-panelLeft-panelRight) }
	y := func(v float64) float64 { return top + panelTop + (hi-v)/(hi-lo)*panelHigh }
	g.text("", "start", 0, top+14, p.title)
	var upper, lower [][2]float64
	for i, v := range p.at {
		upper = append(upper, [2]float64{x(v), y(p.span[i].Hi)})
		lower = append(lower, [2]float64{x(v), y(p.span[i].Lo)})
	}
	loop := append([][2]float64(nil), upper...)
	for i := len(lower) - 1; i >= 0; i-- {
		loop = append(loop, lower[i])
	}
	g.loops("band", [][][2]float64{loop})
	g.polyline("asked", upper)
	g.polyline("asked", lower)
	g.line("tick", x(first), y(0), x(last), y(0))
	for _, l := range p.levels {
		if l.at >= lo && l.at <= hi {
			g.line("drawn", x(first), y(l.at), x(last), y(l.at))
			at := y(l.at) - 4
			if at < top+panelTop+labelHigh {
				at += 2*4 + labelHigh
			}
			g.text("drawn-n", "end", x(last)-4, at, l.words)
		}
	}
	g.rect("frame", x(first), y(hi), x(last)-x(first), panelHigh)
	p.scales(g, x, y, [2]float64{first, last}, [2]float64{lo, hi})
}

// scales draws the ticks of both axes with their numbers.
func (p *panel) scales(g *svgText, x, y func(float64) float64, across, up [2]float64) {
	foot := y(up[0])
	most := panelTicks
	if x(across[1])-x(across[0]) < wideW/2 {
		most = panelFew
	}
	vs, digits := evenTicks(across[0], across[1], most)
	for _, v := range vs {
		g.line("tick", x(v), foot, x(v), foot+5)
		g.text("rule-n", "middle", x(v), foot+18, wording.Number(v, digits))
	}
	g.text("rule-n", "middle", (x(across[0])+x(across[1]))/2, foot+34, p.across)
	vs, digits = evenTicks(up[0], up[1], panelTicks)
	for _, v := range vs {
		g.line("tick", panelLeft-5, y(v), panelLeft, y(v))
		g.text("rule-n", "end", panelLeft-8, y(v)+4, wording.Number(v, digits))
	}
	g.text("rule-n", "start", panelLeft, y(up[1])-6, p.up)
}

// bounds is from where to where the axis upwards goes: 0 is on it, and a level that is not
// far off.
func (p *panel) bounds() (lo, hi float64) {
	for _, s := range p.span {
		lo, hi = min(lo, s.Lo), max(hi, s.Hi)
	}
	const far = 2.5 // times
	for _, l := range p.levels {
		if l.at > hi && l.at < far*hi {
			hi = l.at
		}
	}
	if hi-lo <= 0 {
		hi = 1
	}
	const air = 0.06
	pad := air * (hi - lo)
	if lo < 0 {
		lo -= pad
	}
	return lo, hi + pad
}

// evenTicks are round numbers from lo to hi, at most about so many, with the decimals they need.
func evenTicks(lo, hi float64, most int) (at []float64, digits int) {
	rough := (hi - lo) / float64(most)
	if !(rough > 0) || math.IsInf(rough, 0) {
		return nil, 0
	}
	tenth := math.Floor(math.Log10(rough))
	step := math.Pow(10, tenth)
	for _, k := range []float64{2, 5, 10} {
		if step < rough {
			step = k * math.Pow(10, tenth)
		}
	}
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi*(1+1e-12); k++ {
		at = append(at, k*step)
	}
	return at, max(0, -int(math.Floor(math.Log10(step)+1e-9)))
}
