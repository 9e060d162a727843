// Package brokenmesh is the rule broken-mesh; doc.md says what it finds and why.
package brokenmesh
