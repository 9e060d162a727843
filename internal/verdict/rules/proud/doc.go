// Package proud is the rule proud; doc.md says what it finds and why.
package proud
