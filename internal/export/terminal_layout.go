package export

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// columns is how many columns of a terminal s takes. The locale is left out of
// account on purpose: same input, same bytes.
func columns(s string) int {
	c := runewidth.Condition{}
	return c.StringWidth(s)
}

// padded fills s with spaces to n columns.
func padded(s string, n int) string { return s + strings.Repeat(" ", max(0, n-columns(s))) }

// shortened cuts s to n columns, with three points at the cut.
func shortened(s string, n int) string {
	c := runewidth.Condition{}
	return c.Truncate(s, n, "...")
}

// wrap breaks text between words into lines of at most n columns; a word that
// is longer has a line of its own, and a number stays with its unit. It gives at
// least one line.
func wrap(text string, n int) []string {
	var lines []string
	cur := ""
	for _, w := range words(text) {
		switch {
		case cur == "":
			cur = w
		case columns(cur)+1+columns(w) <= n:
			cur += " " + w
		default:
			lines = append(lines, cur)
			cur = w
		}
	}
	return append(lines, cur)
}

// words splits text at spaces, but not between a number and its unit.
func words(text string) []string {
	var out []string
	for _, w := range strings.Fields(text) {
		k := len(out) - 1
		unit := strings.TrimRight(w, ",.;:)")
		if k >= 0 && (unit == "mm" || unit == "deg") && out[k][len(out[k])-1] >= '0' && out[k][len(out[k])-1] <= '9' {
			out[k] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}
