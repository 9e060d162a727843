package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"

	"feint/internal/design"

	"github.com/spf13/cobra"
)

func newNew(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "new NAME",
		Short: "make a folder with a small working design to change",
		Example: `  feint new windmill
  feint prove windmill/windmill.star`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return makeDesign(s, args[0])
		},
	}
}

// makeDesign writes the template beside the place and renames it into place, so
// that a folder half made is never left behind.
func makeDesign(s streams, dir string) error {
	name := filepath.Base(dir)
	if err := design.CheckName(name); err != nil {
		return err
	}
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is there already; choose another name or remove it first", dir)
	}
	tmp, err := os.MkdirTemp(filepath.Dir(dir), ".feint-new-*")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(tmp) }()
	files := design.Template(name)
	names := make([]string, 0, len(files))
	for f, text := range files {
		names = append(names, f)
		if err := os.WriteFile(filepath.Join(tmp, f), []byte(text), 0o644); err != nil { //nolint:gosec // a design is meant to be read by others
			return err
		}
	}
	if err := os.Chmod(tmp, 0o755); err != nil { //nolint:gosec // a folder like any other
		return err
	}
	if err := os.Rename(tmp, dir); err != nil {
		return err
	}
	sort.Strings(names)
	for _, f := range names {
		fmt.Fprintf(s.out, "made %s\n", filepath.Join(dir, f))
	}
	fmt.Fprintf(s.out, "now: feint prove %s\n", filepath.Join(dir, name+".star"))
	return nil
}
