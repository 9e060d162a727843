// Package thinweb is the rule thin-web; doc.md says what it finds and why.
package thinweb
