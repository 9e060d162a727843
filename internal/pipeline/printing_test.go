package pipeline

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"feint/internal/printable"
	"feint/internal/verdict"

	"github.com/google/go-cmp/cmp"
)

// beacon is an invented box: a lamp room that turns on a post, drawn once so that
// everything goes wrong in the print, once just right. The numbers are those of
// the rules: gaps per side, widths of webs, spans, heights.
const beacon = `
web, span, gap, slit, shelf = %NUMBERS%
post = part("post", frame = True, solid =
    cylinder(d = 40, h = 6, chamfer = 0.6) + cylinder(d = 16, h = 30)
    - block((-5, 5), (-2.5 - web / 2, -web / 2), (20, 31)) - block((-5, 5), (web / 2, 2.5 + web / 2), (20, 31)))
room = part("room", solid =
    tube(d = 34, bore = 16 + 2 * gap, h = 18).at(z = shelf)
    + block((12, 60), (-6, 6), (shelf, shelf + 18)) - block((30, 30 + span), (-7, 7), (shelf - 1, shelf + 8))
    - block((22, 22 + slit), (-4, 7), (shelf - 1, shelf + 30)),
    travels = [turn(z)])
start({})
goal("round", {room.turn: (90, 100)})
`

func foretold(t *testing.T, numbers string, s printable.Settings) (*PrintingOutcome, []string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "beacon.star")
	if err := os.WriteFile(path, []byte(strings.Replace(beacon, "%NUMBERS%", numbers, 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := Printing(context.Background(), path, Options{}, s)
	if err != nil {
		t.Fatal(err)
	}
	var rules []string
	for i := range out.Findings {
		rules = append(rules, out.Findings[i].Rule)
	}
	slices.Sort(rules)
	return out, slices.Compact(rules)
}

// One design just beyond the limits and one just within, from drawing to finding.
func TestPrintingFindings(t *testing.T) {
	s := printable.Default()
	out, bad := foretold(t, "0.8, 12, 0.12, 0.4, 6.25", s)
	for _, want := range []string{"thin-wall", "bridge", "bore-undersize", "flare", "fused", "seam"} {
		if !slices.Contains(bad, want) {
			t.Errorf("%s is not found: %q", want, bad)
		}
	}
	var b bytes.Buffer
	if err := out.Write(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"post", "room", "together", "per side", "across", "estimate"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("not told: %q in\n%s", want, b.String())
		}
	}
	within, good := foretold(t, "0.95, 7.5, 0.26, 0.5, 6.25", s)
	for _, r := range good {
		if r != "overhang" {
			t.Errorf("%s is told of a design within all limits: %+v", r, within.Findings)
		}
	}
	s.Bed = [3]float64{50, 50, 100}
	if _, small := foretold(t, "0.95, 7.5, 0.26, 0.5, 6.25", s); !slices.Contains(small, "bed") {
		t.Errorf("a bed of 50 mm: %q", small)
	}
	s.Layer = -1
	if _, err := Printing(context.Background(), "x.star", Options{}, s); err == nil || !strings.Contains(err.Error(), "layer height") {
		t.Errorf("a negative layer: %v", err)
	}
}

// Gauges are written whole, read back by the program's own reader of readings,
// and never over a table that may be filled in.
func TestGaugesOnDisk(t *testing.T) {
	path := filepath.Join(t.TempDir(), "beacon.star")
	if err := os.WriteFile(path, []byte(strings.Replace(beacon, "%NUMBERS%", "0.95, 7.5, 0.26, 0.5, 6.25", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := CutGauges(context.Background(), path, Options{Version: "test"}, GaugeOptions{Settings: printable.Default(), Plain: true, Fits: []int{99}})
	if err == nil || !strings.Contains(err.Error(), "no fit 99") {
		t.Fatalf("fit 99: %v, %v", out, err)
	}
	out, err = CutGauges(context.Background(), path, Options{Version: "test"}, GaugeOptions{Settings: printable.Default(), Plain: true, Most: 1})
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "gauges")
	names, err := out.WriteGauges(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []string{"plain-ladder.3mf", "plain-ladder-1.stl", "readings.csv", "what-to-do.txt"} {
		if !slices.Contains(names, n) {
			t.Errorf("%s was not written: %q", n, names)
		}
	}
	table := filepath.Join(dir, "readings.csv")
	raw, err := os.ReadFile(table)
	if err != nil {
		t.Fatal(err)
	}
	filled := strings.Replace(string(raw), "plain-ladder,peg,peg,,,8.00,-,,0.03,", "plain-ladder,peg,peg,,,8.00,-,8.10,0.03,", 1)
	if err := os.WriteFile(table, []byte(filled), 0o600); err != nil {
		t.Fatal(err)
	}
	rs, err := ReadGaugeReadings(table)
	if err != nil || len(rs) != 1 {
		t.Fatalf("%+v, %v", rs, err)
	}
	if g, _, ok := rs[0].Growth(); !ok || g < 0.0499 || g > 0.0501 {
		t.Errorf("growth %g", g)
	}
	if _, err := out.WriteGauges(dir, Options{}); err == nil || !strings.Contains(err.Error(), "may hold readings") {
		t.Errorf("written over: %v", err)
	}
	if again, _ := os.ReadFile(table); string(again) != filled {
		t.Error("the readings are gone")
	}
}

// A proof tells of the print what "feint printing" tells, and judges the box no
// otherwise for it.
func TestProveTellsThePrint(t *testing.T) {
	path := filepath.Join(t.TempDir(), "beacon.star")
	if err := os.WriteFile(path, []byte(strings.Replace(beacon, "%NUMBERS%", "0.8, 12, 0.12, 0.4, 6.25", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	alone, err := Printing(context.Background(), path, Options{}, printable.Default())
	if err != nil {
		t.Fatal(err)
	}
	out, err := Prove(context.Background(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var of []verdict.Finding
	for _, f := range out.Verdict.Findings {
		if f.Print && f.Rule != "scale" { // which needs the motion
			of = append(of, f)
		}
	}
	want := slices.DeleteFunc(slices.Clone(alone.Findings), func(f verdict.Finding) bool { return !f.Print })
	if d := cmp.Diff(want, of); d != "" || len(of) == 0 {
		t.Errorf("printing alone and in the proof:\n%s", d)
	}
	p := out.Document.Printing
	minutes, grams, ok := alone.estimate()
	if !ok || p == nil || math.Abs(p.Grams-grams) > 1e-3 || math.Abs(p.Model-minutes) > 1e-3 {
		t.Errorf("%+v, want %g g and %g min", p, grams, minutes)
	}
}
