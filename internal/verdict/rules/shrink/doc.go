// Package shrink is the rule shrink; doc.md says what it finds and why.
package shrink
