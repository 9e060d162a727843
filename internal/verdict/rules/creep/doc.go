// Package creep is the rule creep; doc.md says what it finds and why.
package creep
