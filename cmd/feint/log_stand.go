package main

import (
	"errors"
	"fmt"
	"strings"

	"feint/internal/logbook"
	"feint/internal/verdict"

	"github.com/spf13/cobra"
)

func newLogStand(s streams, f *logFlags) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "stand FAULT RULE [by MARGIN | at least VALUE | at most VALUE]",
		Short: "make a fault a standing check of its design",
		Long: `stand ties a fault to what foretells it and makes that a standing check: from then on
feint prove asks it of every revision of the design and says if the fault would come
back. RULE is a quantity
(` + strings.Join(logbook.Quantities(), ", ") + `) or
the name of a rule (feint explain). A quantity needs a bound. "by" is measured from the revision on which the
fault was seen, to the better: bind by 0.03 asks for a bind growth 0.03 mm above that
revision's, leak by 0.03 for a leak growth 0.03 mm below it. A check of clearance, or of a
rule, looks at the parts of the fault alone, if it names any.

A check is changed with feint log edit check, and rests with rests=yes.`,
		Example: `  feint log stand 1 bind by 0.03
  feint log stand 2 leak at most -0.08
  feint log stand 3 clearance at least 0.12
  feint log stand 4 idle-step`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) < 2 {
				return errors.New("say which fault and what must hold, such as feint log stand 1 bind by 0.03; feint log list faults numbers them, and the quantities are " + strings.Join(logbook.Quantities(), ", "))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := recordNumber(args[0])
			if err != nil {
				return err
			}
			bound, err := logbook.ReadBound(strings.Join(args[1:], " "), verdict.RuleNames())
			if err != nil {
				return err
			}
			return f.with(cmd.Context(), ".", func(b *logbook.Book) error {
				var c logbook.Check
				var seen *logbook.Ruling
				deed, err := b.Do(cmd.Context(), "stand "+strings.Join(args, " "), func(t *logbook.Tx) (err error) {
					c, seen, err = logbook.Stand(cmd.Context(), t, id, bound)
					return err
				})
				if err != nil {
					return err
				}
				fmt.Fprintf(s.out, "check %d: %s %s (deed %d)\n", c.ID, c.Rule, c.Wanted(), deed)
				if seen != nil && seen.Answer != logbook.Returns {
					fmt.Fprintf(s.out, "take care: of the revision on which the fault was seen it says %q, so it would not have foretold the fault:\n  %s\n", seen.Answer, shown(seen.Why))
				}
				return nil
			})
		},
	}
	cmd.Flags().SetInterspersed(false) // "at most -0.08" is no flag
	return cmd
}
