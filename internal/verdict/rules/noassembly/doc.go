// Package noassembly is the rule no-assembly; doc.md says what it finds and why.
package noassembly
