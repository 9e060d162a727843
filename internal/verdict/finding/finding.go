package finding

import (
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// Severity tells how much a finding matters.
type Severity uint8

// The severities. A fault stands against the verdict "works", a warning is worth
// a change, a note is worth knowing.
const (
	Note Severity = iota
	Warning
	Fault
)

func (s Severity) String() string { return [...]string{"note", "warning", "fault"}[s] }

// Where tells what a finding is about. Every field may be empty.
type Where struct {
	Parts  []int     // indices into Mechanism.Parts
	Step   string    // name of the step
	At     *geom.Vec // place in the assembly, mm
	Config []float64 // configuration, a value for every travel, mm or radians
}

// Finding is one thing that feint reports.
type Finding struct {
	Rule     string
	Of       string // which of the rule's findings about the same parts, by what does not change with a param; may be empty
	Severity Severity
	Where    Where
	Message  string
	Margin   float64 // how far from the limit, in Unit: positive is room left, negative is beyond
	Unit     string  // of Margin; empty where the finding has no limit to measure from
	Change   string  // what to change
	Cures    []Cure  // params by which it goes, the smallest change first; they are told before Change
	Tried    bool    // every param was tried over all of its range
	Untried  bool    // whether a param cures it takes more than was spent: whole proofs, which were not run
	Print    bool    // it is about how the parts print, not about how the box works
}

// Rule is one check of a finished result.
type Rule struct {
	Name  string
	Title string                  // one line
	Doc   string                  // what, why, how computed, what to change, source; Markdown
	Print bool                    // its findings are about how the parts print
	Check func(c *Case) []Finding // never changes the case; the order is deterministic
}

// Case is what a rule looks at.
type Case struct {
	Mechanism *mechanism.Mechanism
	Result    *motion.Result
	Evidence  *Evidence
}
