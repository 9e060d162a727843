package sag

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/forces/survey"
	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds roofs over magnets that sag too far.
func Rule() finding.Rule {
	return finding.Rule{Name: "sag", Title: "the roof over a magnet sags onto it", Doc: doc, Check: check}
}

// roof is a bridge over a magnet.
type roof struct {
	seat   *survey.Seated
	closed bool    // the pocket is closed on both sides
	room   float64 // between magnet and roof as drawn, mm
	growth float64 // that both ends take of it at the tight end, mm
	least  float64 // sag, mm
	most   float64
	more   int // others of the same part
}

// left is what is left of the room at worst, mm.
func (r *roof) left() float64 { return r.room - r.growth - r.most }

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil || c.Result == nil {
		return nil
	}
	set := printable.Default()
	if c.Evidence.Printing != nil {
		set = c.Evidence.Printing.Settings
	}
	var out []finding.Finding
	for part := range c.Mechanism.Parts {
		var worst *roof
		for i := range c.Evidence.Forces.Seats {
			k := &c.Evidence.Forces.Seats[i]
			if c.Evidence.Forces.Magnets[k.Magnet].Part != part {
				continue
			}
			r, ok := over(c, k, &set)
			if !ok || r.left() >= 0 && k.Across <= set.BridgeSpan {
				continue
			}
			if worst != nil {
				r.more = worst.more + 1
				if worst.left() < r.left() {
					worst.more++
					continue
				}
			}
			worst = r
		}
		if worst != nil {
			out = append(out, tell(c, part, worst, &set))
		}
	}
	return out
}

// over is the roof of a seat, if it has one.
func over(c *finding.Case, k *survey.Seated, set *printable.Settings) (*roof, bool) {
	side, ok := k.Roof()
	if !ok {
		return nil, false
	}
	r, g := &roof{seat: k}, max(0, c.Result.Asked[1])
	h := c.Evidence.Forces.Magnets[k.Magnet].Magnet.L
	r.least, r.most = set.Sag(k.Across)
	if d, ok := k.Height(); ok {
		r.closed, r.room, r.growth = true, d-h, 2*g
		return r, true
	}
	d, opens, ok := k.Depth()
	r.room, r.growth = d-h, g
	return r, ok && opens != side
}

func tell(c *finding.Case, part int, r *roof, set *printable.Settings) finding.Finding {
	p := &c.Evidence.Forces.Magnets[r.seat.Magnet]
	at := p.Centre
	f := finding.Finding{
		Rule: "sag", Severity: finding.Warning, Where: finding.Where{Parts: []int{part}, At: &at},
		Margin: r.left(), Unit: "mm",
	}
	name := fmt.Sprintf("%s of %s", wording.Quoted(p.Name), wording.Part(c.Mechanism, part))
	span := wording.Number(r.seat.Across, 1)
	sags := fmt.Sprintf("sags by %s to %s mm, by estimate, and %s mm is left over the magnet as drawn", wording.Number(r.least, 2), wording.Number(r.most, 2), wording.Number(r.room, 2))
	switch {
	case r.seat.Across > set.BridgeSpan:
		f.Margin = set.BridgeSpan - r.seat.Across
		f.Message = fmt.Sprintf("The roof over the magnet %s spans %s mm and bridges print up to %s mm: it needs a support.", name, span, wording.Number(set.BridgeSpan, 1))
		if r.closed {
			f.Message += " Out of a closed pocket no support comes."
		}
	case r.closed:
		f.Message = fmt.Sprintf("The roof over the magnet %s, a bridge of %s mm, %s: it may hang onto the magnet, and the nozzle may drag it.", name, span, sags)
	default:
		f.Message = fmt.Sprintf("The pocket of the magnet %s opens downwards in print; its floor, a bridge of %s mm, %s: the magnet may stand out.", name, span, sags)
	}
	want := math.Ceil(10*(r.growth+r.most)) / 10
	f.Change = fmt.Sprintf("Leave %s mm over the magnet in place of %s mm%s, make the pocket narrower, or lay the part so that the pocket opens upwards.",
		wording.Number(want, 1), wording.Number(r.room, 2), wording.SetBy(c.Mechanism, r.room, "mm"))
	if r.seat.Across > set.BridgeSpan {
		f.Change = "Take a narrower magnet, close the roof in steps or at 45 degrees, or lay the part so that the pocket opens upwards."
	}
	if r.more > 0 {
		f.Message += fmt.Sprintf(" So with %d more of this part.", r.more)
	}
	return f
}
