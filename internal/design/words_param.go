package design

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"go.starlark.net/starlark"

	"feint/internal/mechanism"
)

func paramWords() []word {
	return []word{{
		group: groupParam, name: "param", gives: "a number", run: param,
		doc: `A number that may be changed without editing the file: on the command line with --set "name=value", or on the page. The value is held within its range.`,
		args: []arg{
			{"name", "words", "", "what the number is called, spaces allowed"},
			{"default", "", "", "its value unless it is changed"},
			{"min", "", "None", "least value allowed"},
			{"max", "", "None", "greatest value allowed"},
			{"unit", "words", `""`, `"mm", "deg" or another unit, for the reader`},
			{"note", "words", `""`, "what it does"},
			{"whole", "", "False", "True for a number that counts: only whole numbers are allowed, and it can be used with range(...)"},
		},
		example: `side = param("side gap", 0.25, min = 0.1, max = 0.6, unit = "mm", note = "gap per side")`,
	}}
}

func param(c *call) starlark.Value {
	p := mechanism.Param{
		Name: c.name(""), Default: c.number("default", 0), Min: c.number("min", math.Inf(-1)), Max: c.number("max", math.Inf(1)),
		Unit: c.text("unit", ""), Note: c.text("note", ""), Pos: c.pos,
	}
	whole := c.flag("whole", false)
	p.Value = p.Default
	c.checkParam(&p, whole)
	if !c.failed && c.has("default") && c.has("name") {
		c.applySetting(&p, whole)
	}
	if p.Name != "" && !slices.ContainsFunc(c.l.draft.params, func(q mechanism.Param) bool { return q.Name == p.Name }) {
		c.l.draft.params = append(c.l.draft.params, p)
	}
	if !c.has("default") {
		return c.standIn()
	}
	if whole {
		return starlark.MakeInt(int(max(-1e9, min(1e9, p.Value))))
	}
	return starlark.Float(p.Value)
}

// checkParam reports a param that does not hold together.
func (c *call) checkParam(p *mechanism.Param, whole bool) {
	for _, q := range c.l.draft.params {
		if q.Name == p.Name {
			c.problem("name", "give one of them another name", "there is a param called %q already, on %s", p.Name, q.Pos)
		}
	}
	switch {
	case c.failed:
	case p.Min > p.Max:
		c.problem("min", "exchange the two", "param %q: min is %s and max is %s", p.Name, num(p.Min), num(p.Max))
	case p.Default < p.Min || p.Default > p.Max:
		c.problem("default", "change the default or the range", "param %q: its default %s is outside its range %s", p.Name, num(p.Default), between(p.Min, p.Max, p.Unit))
	case whole && p.Default != math.Trunc(p.Default):
		c.problem("default", "write a whole number, or leave whole out", "param %q: its default %s is no whole number", p.Name, num(p.Default))
	}
}

// applySetting gives the param the value that was set from outside.
func (c *call) applySetting(p *mechanism.Param, whole bool) {
	for _, s := range c.l.opts.Set {
		if s.Name != p.Name {
			continue
		}
		refuse := func(advice, format string, args ...any) {
			c.l.reportf(settingPos(s), advice, format, args...)
		}
		v, err := parseValue(s.Value, p.Unit)
		switch {
		case err != nil && strings.Contains(s.Value, ","):
			refuse("write decimals with a point: "+strings.Replace(s.Value, ",", ".", 1), "param %q: %v", p.Name, err)
		case err != nil:
			refuse("write a number, with its unit if you like: 0.3 or 0.3mm", "param %q: %v", p.Name, err)
		case v < p.Min || v > p.Max:
			refuse(fmt.Sprintf("give one within %s", between(p.Min, p.Max, p.Unit)), "param %q cannot be %s; its range stands on %s", p.Name, num(v), p.Pos)
		case whole && v != math.Trunc(v):
			refuse("give a whole number", "param %q cannot be %s", p.Name, num(v))
		default:
			p.Value = v
		}
	}
}

// settingPos is the place of a mistake in a setting.
func settingPos(s Setting) mechanism.Pos {
	return mechanism.Pos{File: fmt.Sprintf("--set %q", clip(s.Name)+"="+clip(s.Value))}
}

// between writes a range that may be open.
func between(lo, hi float64, unit string) string {
	if unit != "" {
		unit = " " + unit
	}
	switch {
	case math.IsInf(lo, 0) && math.IsInf(hi, 0):
		return "any number"
	case math.IsInf(lo, 0):
		return "up to " + num(hi) + unit
	case math.IsInf(hi, 0):
		return "from " + num(lo) + unit
	default:
		return num(lo) + " to " + num(hi) + unit
	}
}

// isSet tells whether a param was set from outside.
func (l *loader) isSet(name string) bool {
	return slices.ContainsFunc(l.opts.Set, func(s Setting) bool { return s.Name == name })
}

// checkSettings reports settings for params that the design does not have.
func (l *loader) checkSettings() {
	var names []string
	for _, p := range l.draft.params {
		names = append(names, p.Name)
	}
	seen := map[string]bool{}
	for _, s := range l.opts.Set {
		switch {
		case !slices.Contains(names, s.Name):
			advice := "the design has no params"
			if len(names) > 0 {
				advice = orElse(meant(s.Name, names), "its params are: "+strings.Join(names, ", "))
			}
			l.reportf(settingPos(s), advice, "the design has no param called %q", clip(s.Name))
		case seen[s.Name]:
			l.reportf(settingPos(s), "set it once", "the param %q is set twice", s.Name)
		}
		seen[s.Name] = true
	}
}
