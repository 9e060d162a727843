package cautions

import (
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/caution"
	"feint/internal/forces/magnet"
	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// A magnet is always warned of; silence only where nothing is to be said.
func TestCautions(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	k.Evidence.Forces = &survey.Survey{}
	if got := check(k); len(got) != 0 {
		t.Fatalf("nothing to say: %q", got[0].Message)
	}
	tiny := magnet.Cylinder{D: 2, L: 1, Br: forces.Exact(1.2)}
	k.Evidence.Forces.Cautions = []caution.Caution{caution.Magnet("eye", &tiny), caution.Warm("PLA", 55, true)}
	got := check(k)
	if len(got) != 2 || got[0].Severity != finding.Warning || got[1].Severity != finding.Note {
		t.Fatalf("%+v", got)
	}
	if !strings.HasPrefix(got[0].Message, "Caution, swallowed magnets: ") || !strings.Contains(got[0].Message, "estimate, have it measured") || !strings.Contains(got[0].Change, "laboratory") {
		t.Errorf("%+v", got[0])
	}
	// whom to ask is said once, where it is told first: with the warning
	k.Evidence.Forces.Cautions = []caution.Caution{{Kind: caution.SharpFragments, Do: "Thicken it.", Ask: "Ask a laboratory."}, {Kind: caution.SwallowedMagnets, Do: "Glue it.", Ask: "Ask a laboratory."}}
	if got = check(k); got[0].Change != "Thicken it." || got[1].Change != "Glue it. Ask a laboratory." {
		t.Errorf("%q, %q", got[0].Change, got[1].Change)
	}
}
