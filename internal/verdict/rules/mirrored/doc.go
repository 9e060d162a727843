// Package mirrored is the rule mirrored; doc.md says what it finds and why.
package mirrored
