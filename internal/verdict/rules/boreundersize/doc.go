// Package boreundersize is the rule bore-undersize; doc.md says what it finds and why.
package boreundersize
