// Package bed is the rule bed; doc.md says what it finds and why.
package bed
