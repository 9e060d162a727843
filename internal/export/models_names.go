package export

import (
	"fmt"
	"strings"
	"unicode"
)

// fileNames gives every part a file name without extension: letters, digits,
// dots, dashes and underscores of its name, each run of anything else a dash.
// Names that differ for the maker differ for every file system, also for those
// that do not tell capitals, and are none that Windows keeps for devices.
func fileNames(models []Model) []string {
	names := make([]string, len(models))
	taken := map[string]bool{}
	for i := range models {
		base := fileName(models[i].Part)
		name := base
		for n := 2; taken[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s-%d", base, n)
		}
		taken[strings.ToLower(name)] = true
		names[i] = name
	}
	return names
}

func fileName(part string) string {
	var b strings.Builder
	dash := false
	for _, r := range part {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) || r == '_' || r == '.' {
			if dash && b.Len() > 0 {
				b.WriteByte('-')
			}
			dash = false
			b.WriteRune(r)
		} else {
			dash = true
		}
	}
	n := strings.Trim(b.String(), ".-")
	if r := []rune(n); len(r) > longestName {
		n = string(r[:longestName])
	}
	if n == "" || reserved(n) {
		n = strings.TrimSuffix("part-"+n, "-")
	}
	return n
}

// longestName keeps names of any script under the 255 bytes of common file systems.
const longestName = 60

// reserved tells whether Windows keeps a name, with any extension, for a device
// (Microsoft, "Naming Files, Paths, and Namespaces").
func reserved(n string) bool {
	stem, _, _ := strings.Cut(strings.ToLower(n), ".")
	switch stem {
	case "con", "prn", "aux", "nul":
		return true
	}
	return len(stem) == 4 && (strings.HasPrefix(stem, "com") || strings.HasPrefix(stem, "lpt")) && stem[3] >= '0' && stem[3] <= '9'
}
