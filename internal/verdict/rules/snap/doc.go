// Package snap is the rule snap; doc.md says what it finds and why.
package snap
