// Package neighbours is the rule neighbours; doc.md says what it finds and why.
package neighbours
