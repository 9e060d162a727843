// Package scale is the rule scale; doc.md says what it finds and why.
package scale
