// Package pipeline composes the stages from a design file to a verdict and keeps
// their results by content. It owns no mathematics: what it decides is only in
// which order the stages run, on how many workers, and what is read from the
// cache. Parts with a broken mesh are carried along and named; the pairs that
// they touch are left out and the verdict is then undecided.
package pipeline
