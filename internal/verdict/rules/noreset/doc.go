// Package noreset is the rule no-reset; doc.md says what it finds and why.
package noreset
