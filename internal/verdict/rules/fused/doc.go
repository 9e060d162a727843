// Package fused is the rule fused; doc.md says what it finds and why.
package fused
