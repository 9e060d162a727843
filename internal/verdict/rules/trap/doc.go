// Package trap is the rule trap; doc.md says what it finds and why.
package trap
