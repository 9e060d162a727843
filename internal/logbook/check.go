package logbook

import "slices"

// Quantities lists what a check can bound, in mm but for the moves.
func Quantities() []string {
	return []string{"bind", "leak", "leak-with-play", "window", "clearance", "moves"}
}

// IsQuantity tells whether a check's rule is one of Quantities rather than a rule
// of the verdict.
func IsQuantity(rule string) bool { return slices.Contains(Quantities(), rule) }
