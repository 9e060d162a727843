package design

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Setting is one value that the maker gives a param from outside the file.
type Setting struct {
	Name  string
	Value string // a number with an optional unit: "0.3", "0.3mm", "12deg"
}

// ParseSetting reads "name=value".
func ParseSetting(s string) (Setting, error) {
	name, value, ok := strings.Cut(s, "=")
	name, value = strings.TrimSpace(name), strings.TrimSpace(value)
	if !ok || name == "" || value == "" {
		return Setting{}, fmt.Errorf("%q is not a setting; write it as \"name=value\", for example \"side gap=0.3\"", s)
	}
	return Setting{Name: name, Value: value}, nil
}

// unit is a unit that a value may be written in: how many of its base unit it is.
type unit struct {
	name, base string
	factor     float64
}

// units are those that a setting may be written in. The inch is 25.4 mm by
// definition (international yard and pound agreement, 1959).
func units() []unit {
	return []unit{
		{"um", "mm", 0.001},
		{"mm", "mm", 1},
		{"cm", "mm", 10},
		{"m", "mm", 1000},
		{"in", "mm", 25.4},
		{"deg", "deg", 1},
		{"°", "deg", 1},
		{"rad", "deg", 180 / math.Pi},
		{"turns", "deg", 360},
	}
}

// parseValue reads a number with an optional unit for a param whose unit is
// want; a param without unit takes any unit at its base.
func parseValue(s, want string) (float64, error) {
	s = strings.TrimSpace(s)
	i := len(s)
	for i > 0 && !strings.ContainsRune("0123456789.", rune(s[i-1])) {
		i--
	}
	number, suffix := strings.TrimSpace(s[:i]), strings.TrimSpace(s[i:])
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, fmt.Errorf("%q is not a number", s)
	}
	if suffix == "" || suffix == want {
		return v, nil
	}
	us := units()
	k := slices.IndexFunc(us, func(u unit) bool { return u.name == suffix })
	if k < 0 {
		return 0, fmt.Errorf("%q is no unit; use mm, cm, m, um, in, deg, rad or turns", suffix)
	}
	j := slices.IndexFunc(us, func(u unit) bool { return u.name == want })
	switch {
	case want == "":
		return v * us[k].factor, nil
	case j < 0 || us[j].base != us[k].base:
		return 0, fmt.Errorf("%q is in %s, but the param is in %s", s, suffix, want)
	default:
		return v * us[k].factor / us[j].factor, nil
	}
}
