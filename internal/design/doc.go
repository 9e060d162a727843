// Package design turns a design file, written in Starlark, into a
// mechanism.Mechanism.
//
// It promises to run a stranger's file safely: no clock, no network, no file
// outside the folder of the design, a bound on steps and on the size of every
// value. It reports every mistake that it can find in one go, each with its
// place and what to do, as *Problems; a mechanism is returned only where there
// is none. It never computes geometry beyond what a number in the file says.
//
// The language is made of words (word.go and the words_*.go files); each word
// carries its own documentation, from which docs/language.md is generated.
package design

//go:generate go run ./gen ../../docs/language.md
