// Package sag is the rule sag; doc.md says what it finds and why.
package sag
