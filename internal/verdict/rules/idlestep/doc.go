// Package idlestep is the rule idle-step; doc.md says what it finds and why.
package idlestep
