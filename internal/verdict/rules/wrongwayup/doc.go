// Package wrongwayup is the rule wrong-way-up; doc.md says what it finds and why.
package wrongwayup
