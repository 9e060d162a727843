package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"feint/internal/export"
	"feint/internal/pipeline"

	"github.com/spf13/cobra"
)

// exportFlags are the flags of "feint export".
type exportFlags struct {
	common
	to    string
	cut   string
	parts []string
	plate string
}

func newExport(s streams) *cobra.Command {
	f := &exportFlags{}
	cmd := &cobra.Command{
		Use:   "export DESIGN",
		Short: "write the parts for the printer, the assembled view and a cut-away",
		Long: `export writes below a folder: every part as STL and 3MF in print orientation,
plates with all parts side by side, the assembled view (3MF, GLB) and, with
--cut, the box with the frame and any named parts cut open by a plane: still
watertight, to be printed and shown.

A plane is written as an axis and where it crosses it, x=0 or z=12.5, or as four
numbers a,b,c,d: the points with ax + by + cz = d, mm. What lies beyond (on the
side of the axis, or of the normal) goes.`,
		Example: `  feint export box.star --to printed
  feint export box.star --cut y=0 --cut-part lid --plate 180x180x200`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return exportOnce(cmd, s, args[0], f) },
	}
	f.add(cmd)
	cmd.Flags().StringVar(&f.to, "to", "", "folder to write to (default: the design's name with -parts)")
	cmd.Flags().StringVar(&f.cut, "cut", "", "also write a cut-away along this plane: x=0, or a,b,c,d")
	cmd.Flags().StringArrayVar(&f.parts, "cut-part", nil, "a part that the cut goes through beside the frame (again for more)")
	offer(cmd, "cut-part", ofDesign(0, partNames))
	cmd.Flags().StringVar(&f.plate, "plate", "220x220x250", "plate of the printer, mm")
	return cmd
}

func exportOnce(cmd *cobra.Command, s streams, path string, f *exportFlags) error {
	o, err := f.options(s)
	if err != nil {
		return err
	}
	e := pipeline.ExportOptions{Parts: f.parts, Made: time.Now()}
	if e.Plate, err = export.ReadPlate(f.plate); err != nil {
		return fmt.Errorf("--plate %w", err)
	}
	if f.cut != "" {
		if e.Cut, err = export.ReadPlane(f.cut); err != nil {
			return fmt.Errorf("--cut %w", err)
		}
	} else if len(f.parts) > 0 {
		return errors.New("--cut-part needs --cut: name the plane as well")
	}
	if f.to == "" {
		f.to = strings.TrimSuffix(filepath.Base(path), ".star") + "-parts"
	}
	w, err := pipeline.Export(cmd.Context(), path, f.to, o, e)
	if err != nil {
		return err
	}
	for _, n := range w.Files {
		fmt.Fprintf(s.out, "wrote %s\n", filepath.Join(f.to, filepath.FromSlash(n)))
	}
	for _, n := range w.Notes {
		fmt.Fprintf(s.out, "note: %s\n", n)
	}
	for _, n := range w.Stale {
		fmt.Fprintf(s.out, "left from an earlier export: %s\n", filepath.Join(f.to, filepath.FromSlash(n)))
	}
	return nil
}
