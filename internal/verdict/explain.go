package verdict

import (
	"fmt"
	"strings"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/rules"
	"feint/internal/verdict/wording"
)

// Rules lists every rule in the order in which findings are told.
func Rules() []finding.Rule { return rules.All() }

// RuleNames lists the rules' names in the same order.
func RuleNames() []string {
	var out []string
	for _, r := range rules.All() {
		out = append(out, r.Name)
	}
	return out
}

// Explain gives the documentation of a rule, Markdown. A name that is not a rule
// gives an error with the nearest one.
func Explain(rule string) (string, error) {
	for _, r := range rules.All() {
		if strings.EqualFold(r.Name, rule) {
			return r.Doc, nil
		}
	}
	names := RuleNames()
	if n := nearest(rule, names); n != "" {
		return "", fmt.Errorf("there is no rule %s; did you mean %s?", wording.Quoted(rule), n)
	}
	return "", fmt.Errorf("there is no rule %s; the rules are %s", wording.Quoted(rule), wording.List(names))
}

// nearest is the name with the least edit distance from s, "" if all are so far
// that naming one would be a guess: more than half of s is wrong.
func nearest(s string, names []string) string {
	best, out := len([]rune(s))/2+1, ""
	for _, n := range names {
		if d := edits(strings.ToLower(s), n); d < best {
			best, out = d, n
		}
	}
	return out
}

// edits is the least number of inserted, left out and replaced letters that
// turn a into b (V. Levenshtein, 1966).
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diag := row[0]
		row[0] = i + 1
		for j := range y {
			up := row[j+1]
			cost := diag
			if x[i] != y[j] {
				cost++
			}
			row[j+1] = min(cost, up+1, row[j]+1)
			diag = up
		}
	}
	return row[len(y)]
}
