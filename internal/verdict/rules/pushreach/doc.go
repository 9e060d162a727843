// Package pushreach is the rule push-reach; doc.md says what it finds and why.
package pushreach
