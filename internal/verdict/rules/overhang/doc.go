// Package overhang is the rule overhang; doc.md says what it finds and why.
package overhang
