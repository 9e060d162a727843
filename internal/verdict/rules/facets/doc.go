// Package facets is the rule facets; doc.md says what it finds and why.
package facets
