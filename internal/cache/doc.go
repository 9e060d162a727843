// Package cache keeps results on disk under the hash of what they were computed
// from, so that a second run computes only what changed.
//
// It promises that what Get returns is, byte for byte, what some Put stored
// under the same key: every entry carries its own checksum, and entries that
// are torn, damaged or missing are simply not found. Losing the folder loses
// time, never a result. It never decides what a key has to contain.
package cache
