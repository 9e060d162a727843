// Package units is the rule units; doc.md says what it finds and why.
package units
