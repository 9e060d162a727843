// Package climb is the rule climb; doc.md says what it finds and why.
package climb
