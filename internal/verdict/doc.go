// Package verdict turns what motion and the checks have found into one verdict,
// a sentence that a maker understands at a glance, and a list of findings.
//
// It decides nothing anew: every statement rests on the motion.Result and on the
// Evidence it is given. What is not known there is "undecided" here, never a
// guess; a pair that was not examined never counts as clear. One folder a rule
// stands under rules, with code, documentation and tests.
package verdict
