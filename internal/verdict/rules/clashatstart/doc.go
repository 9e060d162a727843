// Package clashatstart is the rule clash-at-start; doc.md says what it finds and why.
package clashatstart
