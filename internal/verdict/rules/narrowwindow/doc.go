// Package narrowwindow is the rule narrow-window; doc.md says what it finds and why.
package narrowwindow
