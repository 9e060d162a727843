// Package cocking is the rule cocking; doc.md says what it finds and why.
package cocking
