// Package wayblocked is the rule way-blocked; doc.md says what it finds and why.
package wayblocked
