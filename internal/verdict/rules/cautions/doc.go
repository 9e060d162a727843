// Package cautions is the rule cautions; doc.md says what it finds and why.
package cautions
