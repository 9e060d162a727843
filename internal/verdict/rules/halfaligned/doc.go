// Package halfaligned is the rule half-aligned; doc.md says what it finds and why.
package halfaligned
