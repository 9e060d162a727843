package finding

// Cure is a value of one param at which a finding is gone, found by trying: the design was
// read and measured again with the param changed.
type Cure struct {
	Param    string
	Unit     string
	From, To float64
	Stays    float64 // the tried value nearest to To at which the finding stays; From where none was
	Proved   bool    // the whole proof was run again with it, and found nothing worse; else what the finding measures was
}
