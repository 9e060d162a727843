// Package loosened holds the rules tilt-open, shake-open, spin-open and knock-open,
// which differ in nothing but the load; doc.md says what they find and why.
package loosened
