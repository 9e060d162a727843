package main

import (
	"fmt"
	"math"
	"strings"
	"text/tabwriter"

	"feint/internal/mechanism"
	"feint/internal/pipeline"

	"github.com/spf13/cobra"
)

func newParams(s streams) *cobra.Command {
	return &cobra.Command{
		Use:     "params DESIGN",
		Short:   "list the params of a design with their ranges",
		Example: "  feint params box.star",
		Args:    cobra.ExactArgs(1),

		ValidArgsFunction: completeDesign,
		RunE: func(_ *cobra.Command, args []string) error {
			m, err := pipeline.Load(args[0], pipeline.Options{})
			if err != nil {
				return err
			}
			if len(m.Params) == 0 {
				_, err := fmt.Fprintln(s.out, "this design has no params")
				return err
			}
			w := tabwriter.NewWriter(s.out, 0, 4, 2, ' ', 0)
			for i := range m.Params {
				p := &m.Params[i]
				fmt.Fprintf(w, "%s\t%g %s\t%s\t%s\n", p.Name, p.Value, p.Unit, span(p), p.Note)
			}
			return w.Flush()
		},
	}
}

// span words the range of a param.
func span(p *mechanism.Param) string {
	var out []string
	if !math.IsInf(p.Min, 0) {
		out = append(out, fmt.Sprintf("from %g", p.Min))
	}
	if !math.IsInf(p.Max, 0) {
		out = append(out, fmt.Sprintf("to %g", p.Max))
	}
	if len(out) == 0 {
		return "any"
	}
	return strings.Join(out, " ")
}
