// Package unheld is the rule unheld; doc.md says what it finds and why.
package unheld
