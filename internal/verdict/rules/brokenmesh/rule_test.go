package brokenmesh

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestBroken(t *testing.T) {
	k := sample.Case()
	if got := check(k); len(got) != 0 {
		t.Fatalf("sound meshes: %q", got[0].Message)
	}
	k.Evidence.Defects = []finding.Defect{{Part: sample.Lamp, Kind: "hole", At: geom.Vec{Z: 7}, Count: 3, Detail: "4 open edges"}}
	k.Evidence.Skipped = []finding.Skip{{A: sample.Lamp, B: sample.Tower, Why: "lamp is broken"}}
	got := check(k)
	if len(got) != 2 {
		t.Fatalf("got %+v", got)
	}
	if want := "The mesh of lamp is broken: hole at x 0.0, y 0.0, z 7.0 mm, and 2 places more of the kind (4 open edges)."; got[0].Message != want {
		t.Errorf("got %q", got[0].Message)
	}
	if !strings.Contains(got[1].Message, "Whether lamp and tower ever touch was not examined") {
		t.Errorf("got %q", got[1].Message)
	}
}
