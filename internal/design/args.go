package design

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"gonum.org/v1/gonum/spatial/r3"

	"feint/internal/geom"
)

// Larger numbers than these are slips of the keyboard: no box is printed five
// metres long, and no path winds a hundred times round its shaft.
const (
	maxLength     = 5000.0  // mm
	maxAngle      = 36000.0 // deg
	maxNameLength = 60
)

// has tells whether an argument was given.
func (c *call) has(name string) bool { return c.args[name] != nil }

// value is an argument, nil where it was left out or is unknown.
func (c *call) value(name string) starlark.Value {
	if v := c.args[name]; v != nil && !isUnknown(v) {
		return v
	}
	return nil
}

// asNumber reads a finite number; what says what it is for.
func (c *call) asNumber(name, what string, v starlark.Value) (float64, bool) {
	if isUnknown(v) {
		c.failed = true
		return 0, false
	}
	f, ok := starlark.AsFloat(v)
	switch {
	case !ok:
		hint := "write a plain number, for example 12.5"
		if _, group := v.(starlark.Tuple); group {
			hint = "write its numbers one by one, without the brackets round them, or one number"
		}
		c.problem(name, hint, "%s: %s must be a number, not %s", c.word.name, what, describe(v))
		return 0, false
	case math.IsNaN(f) || math.IsInf(f, 0):
		c.problem(name, "check the sum that gives it, a division by 0 perhaps", "%s: %s is not a finite number", c.word.name, what)
		return 0, false
	}
	return f, true
}

// number is a finite number, def where it was left out or is wrong.
func (c *call) number(name string, def float64) float64 {
	v := c.value(name)
	if v == nil {
		return def
	}
	if f, ok := c.asNumber(name, name, v); ok {
		return f
	}
	return def
}

// asLength reads a length of any sign.
func (c *call) asLength(name, what string, v starlark.Value) (float64, bool) {
	f, ok := c.asNumber(name, what, v)
	if ok && math.Abs(f) > maxLength {
		c.problem(name, "lengths are in mm", "%s: %s is %s mm, beyond the %s mm that are allowed", c.word.name, what, num(f), num(maxLength))
		return 0, false
	}
	return f, ok
}

// length is a length of any sign, mm.
func (c *call) length(name string, def float64) float64 {
	v := c.value(name)
	if v == nil {
		return def
	}
	if f, ok := c.asLength(name, name, v); ok {
		return f
	}
	return def
}

// size is a length above 0, mm.
func (c *call) size(name string, def float64) float64 {
	f := c.length(name, def)
	if f <= 0 {
		c.problem(name, "give a number above 0", "%s: %s is %s mm, but a size must be above 0", c.word.name, name, num(f))
		return def
	}
	return f
}

// extra is a length that may be 0 but not negative, mm.
func (c *call) extra(name string, def float64) float64 {
	f := c.length(name, def)
	if f < 0 {
		c.problem(name, "give 0 or more", "%s: %s is %s mm, but it must not be negative", c.word.name, name, num(f))
		return def
	}
	return f
}

// asAngle reads an angle, deg.
func (c *call) asAngle(name, what string, v starlark.Value) (float64, bool) {
	f, ok := c.asNumber(name, what, v)
	if ok && math.Abs(f) > maxAngle {
		c.problem(name, "angles are in degrees", "%s: %s is %s degrees, beyond the %s that are allowed", c.word.name, what, num(f), num(maxAngle))
		return 0, false
	}
	return f, ok
}

// angle is an angle of any sign, deg.
func (c *call) angle(name string, def float64) float64 {
	v := c.value(name)
	if v == nil {
		return def
	}
	if f, ok := c.asAngle(name, name, v); ok {
		return f
	}
	return def
}

// count is a whole number from lo to hi.
func (c *call) count(name string, def, lo, hi int) int {
	f := c.number(name, float64(def))
	if f != math.Trunc(f) || f < float64(lo) || f > float64(hi) {
		c.problem(name, fmt.Sprintf("give a whole number from %d to %d", lo, hi), "%s: %s is %s", c.word.name, name, num(f))
		return def
	}
	return int(f)
}

// text is a string, def where it was left out.
func (c *call) text(name, def string) string {
	v := c.value(name)
	if v == nil {
		return def
	}
	s, ok := starlark.AsString(v)
	if !ok {
		c.problem(name, `write words in quotes: "like this"`, "%s: %s must be words in quotes, not %s", c.word.name, name, describe(v))
		return def
	}
	return s
}

// flag is True or False.
func (c *call) flag(name string, def bool) bool {
	v := c.value(name)
	if v == nil {
		return def
	}
	b, ok := v.(starlark.Bool)
	if !ok {
		c.problem(name, "write True or False", "%s: %s must be True or False, not %s", c.word.name, name, describe(v))
		return def
	}
	return bool(b)
}

// choice is one of a few words, the first of them where it was left out.
func (c *call) choice(name string, of ...string) string {
	s := c.text(name, of[0])
	if !slices.Contains(of, s) {
		advice := "write one of: " + strings.Join(of, ", ")
		if n := nearest(s, of); n != "" {
			advice = fmt.Sprintf("did you mean %q?", n)
		}
		c.problem(name, advice, "%s: %s cannot be %q", c.word.name, name, clip(s))
		return of[0]
	}
	return s
}

// name is the argument of that name: what a part, a travel or a step is called.
func (c *call) name(def string) string {
	s := c.text("name", def)
	if _, given := c.value("name").(starlark.String); !given {
		return def
	}
	if why := badName(s); why != "" {
		c.problem("name", "use letters, digits, spaces, - and _", "%s: the name %q %s", c.word.name, clip(s), why)
		return def
	}
	return s
}

// badName tells what is wrong with a name; it becomes file names and words on
// paper, so it is short and of plain characters.
func badName(s string) string {
	switch {
	case strings.TrimSpace(s) == "":
		return "is empty"
	case strings.TrimSpace(s) != s:
		return "begins or ends with a space"
	case len(s) > maxNameLength:
		return fmt.Sprintf("is longer than %d letters", maxNameLength)
	case s[0] == '.' || s[0] == '-':
		return "begins with " + s[:1]
	}
	for _, r := range s {
		if !nameRune(r) {
			return fmt.Sprintf("holds %q", r)
		}
	}
	return ""
}

// seq is a list or tuple, nil where it was left out or is wrong.
func (c *call) seq(name string) []starlark.Value {
	v := c.value(name)
	if v == nil {
		return nil
	}
	vs, ok := elements(v)
	if !ok {
		c.problem(name, "write a list: [ ... ]", "%s: %s must be a list, not %s", c.word.name, name, describe(v))
	}
	return vs
}

// elements are the members of a list or a tuple.
func elements(v starlark.Value) ([]starlark.Value, bool) {
	switch v := v.(type) {
	case starlark.Tuple:
		return v, true
	case *starlark.List:
		vs := make([]starlark.Value, v.Len())
		for i := range vs {
			vs[i] = v.Index(i)
		}
		return vs, true
	default:
		return nil, false
	}
}

// axis is a unit direction: x, -y, or three numbers.
func (c *call) axis(name string, def geom.Vec) geom.Vec {
	v := c.value(name)
	if v == nil {
		return def
	}
	if d, ok := v.(direction); ok {
		return d.vec
	}
	advice := "write x, y, z, -x, -y, -z or three numbers such as (1, 0, 1)"
	if _, isNumber := starlark.AsFloat(v); isNumber {
		advice += "; if this file calls a number x, y or z, give that another name"
	}
	p, ok := c.triple(name, v, advice)
	if !ok {
		return def
	}
	n := r3.Norm(p)
	if n == 0 {
		c.problem(name, "one of the three numbers must not be 0", "%s: %s has no direction", c.word.name, name)
		return def
	}
	return r3.Scale(1/n, p)
}

// through is the argument of that name: a point of the assembly, mm.
func (c *call) through() geom.Vec {
	v := c.value("through")
	if v == nil {
		return geom.Vec{}
	}
	p, _ := c.triple("through", v, "write the point as (x, y, z), for example (10, 0, 4)")
	return p
}

// triple reads three lengths.
func (c *call) triple(name string, v starlark.Value, advice string) (geom.Vec, bool) {
	vs, ok := elements(v)
	if !ok || len(vs) != 3 {
		c.problem(name, advice, "%s: %s cannot be %s", c.word.name, name, describe(v))
		return geom.Vec{}, false
	}
	var f [3]float64
	for i := range f {
		if f[i], ok = c.asLength(name, fmt.Sprintf("number %d of %s", i+1, name), vs[i]); !ok {
			return geom.Vec{}, false
		}
	}
	return geom.Vec{X: f[0], Y: f[1], Z: f[2]}, true
}
