package design

import (
	_ "embed"
	"strings"
)

//go:embed template/design.star
var templateDesign string

// Template is the files of a new design called name, by file name: a small box
// that works, with notes for a maker who has never programmed.
func Template(name string) map[string]string {
	return map[string]string{name + ".star": strings.ReplaceAll(templateDesign, "NAME", name)}
}
