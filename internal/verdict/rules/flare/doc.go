// Package flare is the rule flare; doc.md says what it finds and why.
package flare
