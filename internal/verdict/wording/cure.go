package wording

import (
	"fmt"
	"strconv"
	"strings"

	"feint/internal/verdict/finding"
)

// curesTold is how many params are named at most.
const curesTold = 2

// Cured says which params to set to what for a rule's finding of the given name to go;
// empty where none was found.
func Cured(e *finding.Evidence, rule, of string) string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	var does []string
	for i := range e.Cures {
		c := &e.Cures[i]
		if c.Rule != rule || c.Of != of || len(does) == curesTold {
			continue
		}
		does = append(does, fmt.Sprintf("%s from %s to %s %s", Quoted(c.Param), number(c.From), number(c.To), Name(c.Unit)))
	}
	if len(does) == 0 {
		return ""
	}
	return "Set " + strings.Join(does, ", or ") + "."
}
