// Package wear is the rule wear; doc.md says what it finds and why.
package wear
