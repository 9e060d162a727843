// Package finding holds the types that rules and verdict share: the finding, the
// evidence, and the rule itself. It computes nothing.
package finding
