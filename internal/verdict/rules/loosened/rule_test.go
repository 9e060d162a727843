package loosened

import (
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/hands"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestLoosened(t *testing.T) {
	k := sample.Case()
	row := hands.Row{
		Kind: load.Shake, Level: 5, Outcome: hands.Rattles, Step: -1, Margin: forces.Interval{Lo: 0.1, Hi: 2},
		First: &hands.Loose{Travel: sample.LampLift, Up: true, From: forces.Interval{Lo: 2, Hi: 3}},
	}
	k.Evidence.Handling = []hands.Row{row}
	for _, r := range rules() {
		if got := r.Check(k); len(got) != 0 {
			t.Errorf("%s: a box that only rattles: %+v", r.Name, got)
		}
	}
	row.Outcome, row.Margin = hands.Opens, forces.Interval{Lo: -0.1, Hi: 2}
	other := row
	other.Level = 10 // not the level of the rule
	k.Evidence.Handling = []hands.Row{other, row}
	for _, r := range rules() {
		got := r.Check(k)
		if r.Name != "shake-open" {
			if len(got) != 0 {
				t.Errorf("%s: %+v", r.Name, got)
			}
			continue
		}
		if len(got) != 1 || got[0].Margin != -0.1 || got[0].Unit != "g" || !strings.Contains(got[0].Message, "Shaking it at 5 g alone may bring the goal about") ||
			!strings.Contains(got[0].Message, "lamp, from 2.0 g on") {
			t.Errorf("got %+v", got)
		}
	}
	row.Outcome, row.Step = hands.Skips, 0
	k.Evidence.Handling = []hands.Row{row}
	if got := rules()[1].Check(k); len(got) != 1 || got[0].Where.Step != k.Mechanism.Steps[0].Name {
		t.Errorf("got %+v", got)
	}
}

func rules() []finding.Rule {
	var out []finding.Rule
	for _, k := range []load.Kind{load.Tilt, load.Shake, load.Spin, load.Knock} {
		out = append(out, Rule(k, "", ""))
	}
	return out
}
