package design

import (
	_ "embed"
	"fmt"
	"regexp"
	"strings"
)

//go:embed template/design.star
var templateDesign string

// Template is the files of a new design called name, by file name: a small box
// that works, with notes for a maker who has never programmed.
func Template(name string) map[string]string {
	return map[string]string{name + ".star": strings.ReplaceAll(templateDesign, "NAME", name)}
}

// CheckName says what is wrong with the name of a new design: it must be a folder, a file and
// a word of the design on every system.
func CheckName(name string) error {
	if plain, err := regexp.MatchString(`^[A-Za-z][A-Za-z0-9_-]{0,63}$`, name); err != nil || !plain {
		return fmt.Errorf("%q cannot name a design: begin with a letter and use letters, digits, - and _ only, 64 at most", name)
	}
	return nil
}
