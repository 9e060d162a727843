package pushreach

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds a pusher that does not reach far enough.
func Rule() finding.Rule {
	return finding.Rule{Name: "push-reach", Title: "a part is not pushed as far as it must go", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	h := c.Evidence.Hands
	if h == nil {
		return nil
	}
	var out []finding.Finding
	for i := range h.Pushers {
		// another pusher may take the part farther
		if p := &h.Pushers[i]; p.Short > 0 && farthest(h.Pushers, p) {
			out = append(out, tell(c, p))
		}
	}
	return out
}

// farthest tells whether no other pusher takes the same part farther the same way.
func farthest(ps []hands.Pusher, p *hands.Pusher) bool {
	for i := range ps {
		if o := &ps[i]; o.Pushed == p.Pushed && o.PushedUp == p.PushedUp && o.Short < p.Short {
			return false
		}
	}
	return true
}

func tell(c *finding.Case, p *hands.Pusher) finding.Finding {
	m := c.Mechanism
	k, j := &m.Travels[p.Travel], &m.Travels[p.Pushed]
	f := finding.Finding{
		Rule: "push-reach", Severity: finding.Fault, Where: finding.Where{Parts: []int{k.Part, j.Part}},
		Margin: -wording.Outside(j, p.Short), Unit: wording.Unit(j),
	}
	f.Message = fmt.Sprintf("%s touches %s after %s of dead travel, and at its end has pushed it to %s; every way takes it to %s, %s more.",
		wording.Part(m, k.Part), wording.Part(m, j.Part), amount(k, p.Dead), amount(j, p.Gets), amount(j, p.Needs), amount(j, p.Short))
	f.Change = fmt.Sprintf("Give %s %s more reach: a longer travel, or a boss on it or on %s.",
		wording.Part(m, k.Part), amount(j, p.Short), wording.Part(m, j.Part))
	return f
}

func amount(t *mechanism.Travel, v float64) string {
	return wording.Number(math.Abs(wording.Outside(t, v)), 2) + " " + wording.Unit(t)
}
