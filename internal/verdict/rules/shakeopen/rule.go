// Package shakeopen holds the rule shake-open; doc.md says what it finds and why. The four
// rules of handling differ in nothing but the load: the code is in package loosened,
// with its tests.
package shakeopen

import (
	_ "embed"

	"feint/internal/forces/load"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/rules/loosened"
)

//go:embed doc.md
var doc string

// Rule finds boxes of which shaking alone opens them.
func Rule() finding.Rule { return loosened.Rule(load.Shake, "shaking opens it", doc) }
