// Package unnamedstep is the rule unnamed-step; doc.md says what it finds and why.
package unnamedstep
