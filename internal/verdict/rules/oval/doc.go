// Package oval is the rule oval; doc.md says what it finds and why.
package oval
