// Package loosened has the code of the rules tilt-open, shake-open, spin-open and
// knock-open, which differ in nothing but the load.
package loosened
