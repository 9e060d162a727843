// Package pried is the rule pried; doc.md says what it finds and why.
package pried
