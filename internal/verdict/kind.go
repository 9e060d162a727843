package verdict

// Kind is the verdict itself.
type Kind uint8

// The verdicts. The zero value claims nothing.
const (
	Undecided Kind = iota // strict and generous disagree at the finest resolution allowed, or something was not examined
	Works                 // opens, every step unavoidable, and so at both ends of the asked growth range
	Shortcut              // opens, but a step can be avoided as drawn or within the asked range
	Stuck                 // no way to the goal, as drawn or at the tight end
	Open                  // the goal holds at the start
	Clash                 // parts overlap in the start configuration beyond a declared press fit
)

func (k Kind) String() string {
	return [...]string{"undecided", "works", "shortcut", "stuck", "open", "clash"}[k]
}

// BadInput is the exit status for a design that cannot be read; no Kind has it.
const BadInput = 2

// ExitStatus is the exit status of a proof with this verdict: 0 works, 1 a fault
// that is sure, 3 undecided.
func (k Kind) ExitStatus() int {
	switch k {
	case Works:
		return 0
	case Shortcut, Stuck, Open, Clash:
		return 1
	case Undecided:
		return 3
	}
	return 3
}
