// Package holdweak is the rule hold-weak; doc.md says what it finds and why.
package holdweak
