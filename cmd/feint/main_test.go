package main

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"feint": main})
}

// dot is a picture of one pixel (GIF87a and 89a, CompuServe 1990), for the scripts.
var dot = []byte("GIF89a\x01\x00\x01\x00\x80\x00\x00\xff\x00\x00\x00\x00\x00,\x00\x00\x00\x00\x01\x00\x01\x00\x00\x02\x02D\x01\x00;")

// TestScripts runs the command as a person would; one file a habit.
func TestScripts(t *testing.T) {
	if testing.Short() {
		t.Skip("proves whole designs: minutes with the race detector, which uses -short; the plain run has it")
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("FEINT_CACHE", filepath.Join(e.WorkDir, ".cache"))
			e.Setenv("HOME", e.WorkDir)
			return os.WriteFile(filepath.Join(e.WorkDir, "ring.gif"), dot, 0o600)
		},
	})
}

func TestParseGrowth(t *testing.T) {
	for _, bad := range []string{"", "0.05", "a..b", "0.1..0.2", "-0.2..-0.1", "-2..0", "NaN..0", "0..Inf"} {
		if g, err := parseGrowth(bad); err == nil {
			t.Errorf("%q gave %v", bad, g)
		}
	}
	if g, err := parseGrowth(" -0.08 .. 0.1"); err != nil || g != [2]float64{-0.08, 0.1} {
		t.Errorf("%v, %v", g, err)
	}
}

// A report is written whole or not at all.
func TestWriteWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.html")
	if err := os.WriteFile(path, []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	err := writeWhole(path, func(w io.Writer) error {
		_, _ = w.Write([]byte("half"))
		return context.Canceled
	})
	if err == nil {
		t.Error("a failed report counts as written")
	}
	if b, _ := os.ReadFile(path); string(b) != "before" {
		t.Errorf("the file holds %q", b)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".feint-*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}
