package main

import (
	"fmt"

	"feint/internal/verdict"

	"github.com/spf13/cobra"
)

func newExplain(s streams) *cobra.Command {
	return &cobra.Command{
		Use:     "explain RULE",
		Short:   "print what a finding means and what to change",
		Example: "  feint explain half-aligned",
		Args:    cobra.MaximumNArgs(1),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return verdict.RuleNames(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				for _, n := range verdict.RuleNames() {
					fmt.Fprintln(s.out, n)
				}
				return nil
			}
			text, err := verdict.Explain(args[0])
			if err != nil {
				return err
			}
			_, err = fmt.Fprintln(s.out, text)
			return err
		},
	}
}
