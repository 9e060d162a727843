package pipeline

import (
	"context"
	"errors"
	"testing"

	"feint/internal/export"
	"feint/internal/printable"
)

// TestFilesStopped: files and gauges end with the context, also where it ends after the
// parts are built, and write nothing.
func TestFilesStopped(t *testing.T) {
	ferry := "../../examples/ferry/ferry.star"
	cut, err := export.ReadPlane("x=0")
	if err != nil {
		t.Fatal(err)
	}
	until := func(last string) (context.Context, Options) {
		ctx, cancel := context.WithCancel(context.Background())
		t.Cleanup(cancel)
		return ctx, Options{Workers: 1, Progress: func(step string, done, total int) {
			if step == last && done == total || step == last && last == "gauges" {
				cancel()
			}
		}}
	}
	ctx, o := until("solids")
	if _, files, _, err := ExportFiles(ctx, ferry, o, ExportOptions{Cut: cut}); !errors.Is(err, context.Canceled) || files != nil {
		t.Errorf("files: %d, %v", len(files), err)
	}
	ctx, o = until("gauges")
	if out, err := CutGauges(ctx, ferry, o, GaugeOptions{Settings: printable.Default(), Plain: true}); !errors.Is(err, context.Canceled) || out != nil {
		t.Errorf("gauges: %+v, %v", out, err)
	}
}
