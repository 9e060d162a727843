package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"feint/internal/design"
	"feint/internal/pipeline"

	"github.com/spf13/cobra"
)

// completion gives what the shell may offer for a word.
type completion = func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective)

// completeDesign offers design files.
func completeDesign(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"star"}, cobra.ShellCompDirectiveFilterFileExt
}

// ofDesign offers what names gives of the design that stands on the line already, each
// perhaps with a note behind a tab. A design that cannot be read offers nothing.
func ofDesign(more cobra.ShellCompDirective, names func(path string) []string) completion {
	return func(_ *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
		var out []string
		if len(args) > 0 {
			for _, n := range names(args[0]) {
				if strings.HasPrefix(n, word) {
					out = append(out, n)
				}
			}
		}
		return out, cobra.ShellCompDirectiveNoFileComp | more
	}
}

// offer registers what a flag may be; a flag that is not there is a mistake of ours.
func offer(cmd *cobra.Command, flag string, f completion) {
	if err := cmd.RegisterFlagCompletionFunc(flag, f); err != nil {
		panic(err)
	}
}

// settings are the params of a design, as --set takes them.
func settings(path string) []string {
	ps, _ := design.ParamsOf(path, design.Options{}) // those before a mistake serve as well
	var out []string
	for i := range ps {
		p := &ps[i]
		out = append(out, fmt.Sprintf("%s=\t%g %s, %s", p.Name, p.Value, p.Unit, span(p)))
	}
	return out
}

// partNames are the parts of a design but for the frame.
func partNames(path string) []string {
	m, err := pipeline.Load(path, pipeline.Options{})
	if err != nil {
		return nil
	}
	var out []string
	for i := range m.Parts {
		if !m.Parts[i].Frame {
			out = append(out, m.Parts[i].Name)
		}
	}
	return out
}

// printerNames are the printers' settings that a design's workshop knows.
func printerNames(path string) []string {
	ms, _, err := pipeline.FindPrinters(filepath.Dir(path))
	if err != nil {
		return nil
	}
	out := []string{noPrinter}
	for i := range ms {
		out = append(out, ms[i].Name)
	}
	return out
}
