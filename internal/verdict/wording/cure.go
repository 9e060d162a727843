package wording

import (
	"fmt"
	"strconv"
	"strings"

	"feint/internal/verdict/finding"
)

// curesTold is how many params are named at most.
const curesTold = 2

// Cured says which params to set to what for a finding to go, and how that is known; empty
// where nothing was tried or, with something tried, where not all was.
func Cured(f *finding.Finding) string {
	var does []string
	for i := range f.Cures {
		if len(does) < curesTold {
			does = append(does, cure(&f.Cures[i]))
		}
	}
	switch {
	case len(does) > 0:
		return "Set " + strings.Join(does, ", or ") + "."
	case f.Tried:
		return "No single param cures it (each was tried over its range)."
	}
	return ""
}

func cure(c *finding.Cure) string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	unit := ""
	if c.Unit != "" {
		unit = " " + Name(c.Unit)
	}
	how := "tried"
	if c.Proved {
		how = "proved again so"
	}
	if c.Stays != c.From {
		how += fmt.Sprintf("; %s%s is not enough", number(c.Stays), unit)
	}
	return fmt.Sprintf("%s from %s to %s%s (%s)", Quoted(c.Param), number(c.From), number(c.To), unit, how)
}
