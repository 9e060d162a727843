// Package together is the rule together; doc.md says what it finds and why.
package together
