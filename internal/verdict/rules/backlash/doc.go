// Package backlash is the rule backlash; doc.md says what it finds and why.
package backlash
