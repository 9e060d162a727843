// Package knockopen holds the rule knock-open; doc.md says what it finds and why. The four
// rules of handling differ in nothing but the load: the code is in package loosened,
// with its tests.
package knockopen

import (
	_ "embed"

	"feint/internal/forces/load"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/rules/loosened"
)

//go:embed doc.md
var doc string

// Rule finds boxes of which a knock alone opens them.
func Rule() finding.Rule { return loosened.Rule(load.Knock, "a knock opens it", doc) }
