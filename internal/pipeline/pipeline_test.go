package pipeline

import (
	"context"
	"encoding/binary"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/cache"
	"feint/internal/export"
	"feint/internal/verdict"

	"github.com/google/go-cmp/cmp"
)

const latchRod = "../../examples/latch-rod"

func store(t *testing.T) *cache.Store {
	t.Helper()
	s, err := cache.Open(t.TempDir(), 0)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func within(t *testing.T, what string, got *float64, want, by float64) {
	t.Helper()
	if got == nil || math.Abs(*got-want) > by {
		t.Errorf("%s: %v, want %g within %g", what, got, want, by)
	}
}

// The parts were drawn by OpenCASCADE (gmsh 4.8; make_parts.py beside them) with
// gaps from which these answers follow in closed form, parts held straight: guides
// 0.25 mm a side bind at 0.25/2; the false neck is 0.20 mm a side too narrow, so
// the pin passes it at -0.20/2. At that growth the pin also has 0.5 mm a side in
// the groove, so that the gate can be lifted with the slider at 15.5.
func TestLatchRod(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes with the race detector, which uses -short; the plain run has it")
	}
	o := Options{Cache: store(t)}
	out, err := Prove(context.Background(), filepath.Join(latchRod, "latch-rod.star"), o)
	if err != nil {
		t.Fatal(err)
	}
	d := out.Document
	if out.Verdict.Kind != verdict.Works || !d.Certified {
		t.Errorf("verdict %s, certified %v: %q", d.Verdict, d.Certified, d.Doubts)
	}
	if d.Moves == nil || *d.Moves != 4 || *d.MovesLeast != 4 {
		t.Errorf("moves %v, least %v", d.Moves, d.MovesLeast)
	}
	within(t, "bind", d.Fit.Bind, 0.125, 0.01)
	within(t, "leak", d.Fit.Leak, -0.100, 0.0125)
	if s := d.Steps[0]; s.Unavoidable == nil || !*s.Unavoidable || s.Shortcut == nil || s.Shortcut.Moves > 4 {
		t.Errorf("step %+v, shortcut %+v", s, s.Shortcut)
	}
	t.Run("again from the cache", func(t *testing.T) {
		again, err := Prove(context.Background(), filepath.Join(latchRod, "latch-rod.star"), o)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(essence(d), essence(again.Document)); diff != "" {
			t.Errorf("the cache changes the answer (- fresh, + cached):\n%s", diff)
		}
	})
}

// essence is what a cache must not change: cells that were divided further in an
// earlier run may tighten bounds, and so shift a way within its room.
func essence(d *export.Document) [4]any {
	return [4]any{d.Verdict, d.Certified, *d.Moves, d.Steps[0].Name}
}

// A mesh with a hole is named, and the verdict is undecided, never clear.
func TestHoleIsUndecided(t *testing.T) {
	dir := t.TempDir()
	entries, err := os.ReadDir(latchRod)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		b, err := os.ReadFile(filepath.Join(latchRod, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if e.Name() == "gate.stl" { // one triangle less, the count told truly
			n := binary.LittleEndian.Uint32(b[80:])
			binary.LittleEndian.PutUint32(b[80:], n-1)
			b = b[:len(b)-50]
		}
		if err := os.WriteFile(filepath.Join(dir, e.Name()), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	out, err := Prove(context.Background(), filepath.Join(dir, "latch-rod.star"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if out.Verdict.Kind != verdict.Undecided || out.Verdict.Kind.ExitStatus() != 3 || out.Document.Certified {
		t.Errorf("verdict %s, certified %v", out.Document.Verdict, out.Document.Certified)
	}
	named := false
	for _, f := range out.Document.Findings {
		named = named || f.Rule == "broken-mesh" && strings.Contains(strings.Join(f.Where.Parts, " "), "gate")
	}
	if !named {
		t.Errorf("findings %+v", out.Document.Findings)
	}
	if _, err := Export(context.Background(), filepath.Join(dir, "latch-rod.star"), t.TempDir(), Options{}, ExportOptions{}); err == nil {
		t.Error("a broken part was exported")
	}
}

// Ctrl-C ends a run without a result and without a panic.
func TestCancelled(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Prove(ctx, filepath.Join(latchRod, "latch-rod.star"), Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

func TestExport(t *testing.T) {
	dir := t.TempDir()
	w, err := Export(context.Background(), "../../examples/ferry/ferry.star", dir, Options{}, ExportOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"parts/ramp.stl", "parts/hull.3mf", "assembled.glb", "assembled.3mf", "plate-1.3mf"} {
		if _, err := os.Stat(filepath.Join(dir, want)); err != nil {
			t.Errorf("%s: %v (wrote %q)", want, err, w.Files)
		}
	}
}
