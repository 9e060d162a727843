// Package needlesssupport is the rule needless-support; doc.md says what it finds and why.
package needlesssupport
