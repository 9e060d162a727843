// Package holdstrong is the rule hold-strong; doc.md says what it finds and why.
package holdstrong
