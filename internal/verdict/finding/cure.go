package finding

// Cure is a value of one param at which a measure that a rule found short holds,
// found by trying: the design was read and measured again with the param changed.
type Cure struct {
	Rule, Of string // the rule, and which of its findings: what the rule's measure is called by
	Param    string
	Unit     string
	From, To float64
}
