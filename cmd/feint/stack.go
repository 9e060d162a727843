package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"feint/internal/pipeline"
	"feint/internal/stack"

	"github.com/spf13/cobra"
)

func newStack(s streams) *cobra.Command {
	var lo, hi float64
	var count int
	var seed uint64
	cmd := &cobra.Command{
		Use:   "stack CHAIN | stack DESIGN [NAME]",
		Short: "add up the tolerances of a chain of dimensions",
		Long: `stack adds up a chain of dimensions with their tolerances: worst case, root of the
sum of squares, a simulation, and which dimension contributes how much. A chain is
written as on a drawing, dimensions joined by + and - that stand alone; or it is
one that a design names with chain(...). A tolerance counts as three standard
deviations unless "uniform" or "triangle" follows it.`,
		Example: `  feint stack "box: 40 +-0.1 - ring: 25 +-0.05 - washer: 2 +-0.03 - cap: 10 +-0.05" --lo 2.8
  feint stack box.star "lid gap"`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			if count < 0 || count > 10_000_000 {
				return fmt.Errorf("--count %d: between 0 and ten million", count)
			}
			chains, err := chainsOf(args)
			if err != nil {
				return err
			}
			for i := range chains {
				if cmd.Flags().Changed("lo") {
					chains[i].Lo = lo
				}
				if cmd.Flags().Changed("hi") {
					chains[i].Hi = hi
				}
				r, err := chains[i].Solve(count, seed)
				if err != nil {
					return err
				}
				if err := tellStack(s.out, &chains[i], &r); err != nil {
					return err
				}
			}
			return nil
		},
	}
	cmd.Flags().Float64Var(&lo, "lo", 0, "least value that the chain must keep, mm")
	cmd.Flags().Float64Var(&hi, "hi", 0, "greatest value that the chain must keep, mm")
	cmd.Flags().IntVar(&count, "count", 100_000, "how many sums to simulate")
	cmd.Flags().Uint64Var(&seed, "seed", 1, "which sums to simulate")
	return cmd
}

// chainsOf reads the chains that are asked for.
func chainsOf(args []string) ([]stack.Chain, error) {
	if !strings.HasSuffix(args[0], ".star") {
		if len(args) > 1 {
			return nil, fmt.Errorf("%q is no design (.star), so %q has no meaning; write the chain in one pair of quotes", args[0], args[1])
		}
		c, err := stack.Parse("", args[0])
		return []stack.Chain{c}, err
	}
	m, err := pipeline.Load(args[0], pipeline.Options{})
	if err != nil {
		return nil, err
	}
	if len(m.Chains) == 0 {
		return nil, fmt.Errorf("%s names no chain; write one with chain(...), see docs/language.md", args[0])
	}
	if len(args) == 1 {
		return m.Chains, nil
	}
	var names []string
	for i := range m.Chains {
		if m.Chains[i].Name == args[1] {
			return m.Chains[i : i+1], nil
		}
		names = append(names, m.Chains[i].Name)
	}
	return nil, fmt.Errorf("%s has no chain %q; its chains are %q", args[0], args[1], names)
}

func tellStack(w io.Writer, c *stack.Chain, r *stack.Result) error {
	if c.Name != "" {
		fmt.Fprintf(w, "%s\n", c.Name)
	}
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	row := func(what string, lo, hi float64) {
		fmt.Fprintf(t, "  %s\t%.4f to %.4f mm\t%.4f +- %.4f\n", what, lo, hi, (lo+hi)/2, (hi-lo)/2)
	}
	fmt.Fprintf(t, "  nominal\t%.4f mm\t\n", r.Nominal)
	row("worst case", r.Worst.Lo, r.Worst.Hi)
	row("root of squares", r.Root.Lo, r.Root.Hi)
	if r.Sample.Count > 0 {
		row(fmt.Sprintf("99 %% of %d simulated", r.Sample.Count), r.Sample.Middle99.Lo, r.Sample.Middle99.Hi)
	}
	for _, s := range r.Shares {
		name := s.Name
		if name == "" {
			name = fmt.Sprintf("dimension %d", s.Dim+1)
		}
		fmt.Fprintf(t, "  %s\t%.0f %% of the spread\t%.0f %% of the worst case\n", name, 100*s.Variance, 100*s.Worst)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if r.Within != stack.Unasked {
		fmt.Fprintf(w, "  limits %s: %s", limits(c), r.Within)
		if r.Sample.Count > 0 {
			fmt.Fprintf(w, "; %d of %d simulated outside", r.Sample.Outside, r.Sample.Count)
		}
		fmt.Fprintln(w)
	}
	return nil
}

func limits(c *stack.Chain) string {
	switch {
	case math.IsInf(c.Lo, -1):
		return fmt.Sprintf("up to %g mm", c.Hi)
	case math.IsInf(c.Hi, 1):
		return fmt.Sprintf("from %g mm", c.Lo)
	}
	return fmt.Sprintf("%g to %g mm", c.Lo, c.Hi)
}
