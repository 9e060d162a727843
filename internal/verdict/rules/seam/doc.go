// Package seam is the rule seam; doc.md says what it finds and why.
package seam
