// Package thickwall is the rule thick-wall; doc.md says what it finds and why.
package thickwall
