// Package gravitypin is the rule gravity-pin; doc.md says what it finds and why.
package gravitypin
