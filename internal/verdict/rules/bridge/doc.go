// Package bridge is the rule bridge; doc.md says what it finds and why.
package bridge
