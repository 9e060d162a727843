// Package stack is the rule stack; doc.md says what it finds and why.
package stack
