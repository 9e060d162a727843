package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func newVersion(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "print which feint this is",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintln(s.out, "feint", version())
			return err
		},
	}
}

func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "of unknown build"
	}
	rev, dirty := "", ""
	for _, b := range info.Settings {
		switch b.Key {
		case "vcs.revision":
			rev = b.Value[:min(12, len(b.Value))]
		case "vcs.modified":
			if b.Value == "true" {
				dirty = ", changed since"
			}
		}
	}
	if rev == "" {
		return info.Main.Version + " (" + info.GoVersion + ")"
	}
	return rev + dirty + " (" + info.GoVersion + ")"
}
