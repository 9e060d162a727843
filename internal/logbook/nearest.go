package logbook

import (
	"slices"
	"strings"
)

// Nearest is the one word that name was most likely meant to be: the least edit
// distance, no more than a third of the letters (one for a short name), whatever
// the capitals. It is "" if none is near enough or if two are as near.
func Nearest(name string, words []string) string {
	allowed := max(1, len([]rune(name))/3)
	best, bestD := "", allowed+1
	sorted := slices.Sorted(slices.Values(words))
	for _, w := range slices.Compact(sorted) {
		switch d := edits(strings.ToLower(name), strings.ToLower(w)); {
		case d < bestD:
			best, bestD = w, d
		case d == bestD && bestD <= allowed:
			best = ""
		}
	}
	return best
}

// edits is the least number of letters inserted, deleted, changed or swapped
// with a neighbour that turns a into b (optimal string alignment; F. Damerau,
// Comm. ACM 7 (1964) 171).
func edits(a, b string) int {
	s, t := []rune(a), []rune(b)
	before, last := make([]int, len(t)+1), make([]int, len(t)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(s); i++ {
		row := make([]int, len(t)+1)
		row[0] = i
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(t)]
}
