// Package selfturning is the rule self-turning; doc.md says what it finds and why.
package selfturning
