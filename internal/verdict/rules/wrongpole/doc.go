// Package wrongpole is the rule wrong-pole; doc.md says what it finds and why.
package wrongpole
