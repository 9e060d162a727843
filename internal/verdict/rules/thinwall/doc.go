// Package thinwall is the rule thin-wall; doc.md says what it finds and why.
package thinwall
