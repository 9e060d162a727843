package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"

	"feint/internal/cache"
	"feint/internal/pipeline"
	"feint/internal/server"

	"github.com/spf13/cobra"
)

// benchFlags are the flags of "feint bench".
type benchFlags struct {
	growth  string
	workers int
	port    int
	quiet   bool
}

func newBench(s streams) *cobra.Command {
	f := &benchFlags{}
	cmd := &cobra.Command{
		Use:   "bench [DESIGN]",
		Short: "open a page to see, play and change a box",
		Long: `bench serves a page on this machine and opens it in the browser: the box in
three dimensions to be taken apart and played, its proof to be read, its params
and its design file to be changed with the verdict beside them.

DESIGN is a .star file, or a folder with such files; without it the present
folder is the workshop; where there is none yet, the page offers to begin one. Only
files of that folder are read and written. The page is reached only from this
machine, and only with the address that is printed. Ctrl-C ends it.`,
		Example: `  feint bench box.star
  feint bench --port 8080 --no-open`,
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: completeDesign,
		RunE:              func(cmd *cobra.Command, args []string) error { return bench(cmd, s, f, args) },
	}
	cmd.Flags().StringVar(&f.growth, "growth", "-0.05..0.05", "print growths asked, mm a surface, loose..tight; given, they are asked whatever the printer")
	cmd.Flags().IntVar(&f.workers, "workers", 0, "processors to use (0: all)")
	cmd.Flags().IntVar(&f.port, "port", 0, "port of the page (0: the one of the last time if it is free, else any)")
	cmd.Flags().BoolVar(&f.quiet, "no-open", false, "print the address, open no browser")
	return cmd
}

func bench(cmd *cobra.Command, s streams, f *benchFlags, args []string) error {
	folder, design, err := workshop(args)
	if err != nil {
		return err
	}
	growth, err := parseGrowth(f.growth)
	if err != nil {
		return err
	}
	o := pipeline.Options{Growth: growth, Workers: f.workers, Cache: openCache(s)}
	if o.Cache == nil {
		dir, err := os.MkdirTemp("", "feint-bench-*")
		if err != nil {
			return err
		}
		defer func() { _ = os.RemoveAll(dir) }()
		if o.Cache, err = cache.Open(dir, 0); err != nil {
			return err
		}
	}
	b, err := server.New(server.Config{
		Folder: folder, Design: design, Options: o, State: stateFolder(), Port: f.port, Version: version(), Fixed: cmd.Flags().Changed("growth"), Own: isOwn, Wrote: markOwn,
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "The bench is open at\n\n  %s\n\nonly on this machine, and only with this address. Ctrl-C ends it.\n", b.Address())
	if !b.PageBuilt() {
		fmt.Fprintln(s.err, "feint: the page is not in this program; run make bench where its sources are")
	}
	if !f.quiet {
		openBrowser(b.Address())
	}
	return b.Serve(cmd.Context())
}

// workshop is the folder and the design in it that the arguments name.
func workshop(args []string) (folder, design string, err error) {
	path := "."
	if len(args) > 0 {
		path = args[0]
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return "", "", fmt.Errorf("%s: there is no such file or folder", path)
	case info.IsDir():
		folder, err = filepath.Abs(path)
		return folder, "", err
	case !strings.HasSuffix(path, ".star"):
		return "", "", errors.New("a design is a file whose name ends in .star")
	}
	abs, err := filepath.Abs(path)
	return filepath.Dir(abs), filepath.Base(abs), err
}

// stateFolder is where the bench keeps what outlives a start; "" for nowhere.
func stateFolder() string {
	if dir := os.Getenv("FEINT_STATE"); dir != "" {
		return dir
	}
	base, err := os.UserConfigDir()
	if err != nil {
		return ""
	}
	return filepath.Join(base, "feint")
}

// openBrowser asks the system to open an address; the address is printed anyway,
// so that nothing is lost where it cannot.
func openBrowser(address string) {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	if c := exec.Command(name, args...); c.Start() == nil { //nolint:gosec // our own address
		go func() { _ = c.Wait() }()
	}
}
