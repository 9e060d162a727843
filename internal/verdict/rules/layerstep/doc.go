// Package layerstep is the rule layer-step; doc.md says what it finds and why.
package layerstep
