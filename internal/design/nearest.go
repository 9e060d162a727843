package design

import (
	"slices"
	"strings"
)

// nearest is the candidate with the least edit distance to name, "" if none is
// near enough to be meant: more than a third of the letters, and two letters at
// the least, must not have changed, and a letter must have stayed. Ties go to the
// one that begins alike for longer, then to the first in alphabetical order.
func nearest(name string, candidates []string) string {
	sorted := slices.Clone(candidates)
	slices.Sort(sorted)
	best, bestD := "", max(2, len(name)/3)+1
	if len(name) <= 3 {
		bestD = 2
	}
	for _, c := range sorted {
		if c == name {
			continue
		}
		d := editDistance(strings.ToLower(name), strings.ToLower(c))
		if d >= max(len(name), len(c)) {
			continue
		}
		if d < bestD || d == bestD && best != "" && beginAlike(name, c) > beginAlike(name, best) {
			best, bestD = c, d
		}
	}
	return best
}

// beginAlike is how many letters two names have in common before they differ.
func beginAlike(a, b string) int {
	a, b = strings.ToLower(a), strings.ToLower(b)
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// editDistance is the least number of letters inserted, deleted, changed or
// swapped with a neighbour that turns a into b (optimal string alignment;
// F. Damerau, Comm. ACM 7 (1964) 171, V. Levenshtein, 1966).
func editDistance(a, b string) int {
	s, t := []rune(a), []rune(b)
	d := make([][]int, len(s)+1)
	for i := range d {
		d[i] = make([]int, len(t)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(s)][len(t)]
}

// meant advises the nearest candidate, or lists them all where none is near.
func meant(name string, candidates []string) string {
	if len(name) > maxNameLength {
		return ""
	}
	if n := nearest(name, candidates); n != "" {
		return "did you mean " + n + "?"
	}
	if len(candidates) == 0 || len(candidates) > 12 {
		return ""
	}
	sorted := slices.Clone(candidates)
	slices.Sort(sorted)
	return "known here: " + strings.Join(sorted, ", ")
}
