package design

import (
	"fmt"
	"slices"
	"strings"

	"go.starlark.net/starlark"

	"feint/internal/mechanism"
)

// word is one word of the language: a function, or a method of the values of
// type on.
type word struct {
	on      string // "" for a function
	group   string // the heading it stands under in the reference
	name    string
	doc     string
	args    []arg
	gives   string // what it returns, in words
	example string
	run     func(c *call) starlark.Value
}

// arg is an argument of a word. All may be given by name or in their order.
type arg struct {
	name string
	unit string // "mm", "deg", or what kind of value it is
	def  string // as shown in the reference; "" makes the argument required
	doc  string
}

// call is one use of a word in a design.
type call struct {
	l      *loader
	thread *starlark.Thread
	word   *word
	self   starlark.Value // of a method
	args   map[string]starlark.Value
	order  map[string]int // place of the positional arguments
	key    mechanism.Pos  // by which the place of the call is looked up
	pos    mechanism.Pos  // where the call begins
	via    []mechanism.Pos
	failed bool // a problem was reported or an argument is unknown
}

// builtin makes the Starlark function of a word; self is nil but for methods.
func (l *loader) builtin(w *word, self starlark.Value) *starlark.Builtin {
	return starlark.NewBuiltin(w.name, func(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (starlark.Value, error) {
		c := &call{l: l, thread: th, word: w, self: self, args: map[string]starlark.Value{}, order: map[string]int{}}
		c.key, c.via = l.caller(th)
		c.pos = l.argument(c.key, "", -1)
		l.charge(th, wordCost)
		c.bind(args, kw)
		return w.run(c), nil
	})
}

// wordCost is what a use of a word costs in steps: it makes some hundred bytes.
const wordCost = 100

// bind names the arguments and reports those that are too many, unknown or missing.
func (c *call) bind(args starlark.Tuple, kw []starlark.Tuple) {
	for i, v := range args {
		if i >= len(c.word.args) {
			c.problem("", fmt.Sprintf("takes at most %d values: %s", len(c.word.args), c.word.signature()),
				"%s is given %d values", c.word.name, len(args))
			break
		}
		c.set(c.word.args[i].name, v)
		c.order[c.word.args[i].name] = i
	}
	for _, p := range kw {
		name := string(p[0].(starlark.String))
		switch {
		case !slices.ContainsFunc(c.word.args, func(a arg) bool { return a.name == name }):
			c.problem(name, orElse(meant(name, c.word.argNames()), "it takes "+c.word.signature()),
				"%s takes no argument called %s", c.word.name, name)
		case c.args[name] != nil:
			c.problem(name, "give it once", "%s is given %s twice", c.word.name, name)
		default:
			c.set(name, p[1])
		}
	}
	for _, a := range c.word.args {
		if a.def == "" && c.args[a.name] == nil && !c.failed {
			c.problem("", fmt.Sprintf("add %s = ...: %s", a.name, a.doc), "%s lacks %s", c.word.name, a.name)
		}
	}
}

// set gives an argument its value; None is the same as leaving it out.
func (c *call) set(name string, v starlark.Value) {
	if v == starlark.None {
		return
	}
	if isUnknown(v) {
		c.failed = true
	}
	c.l.charge(c.thread, shallow(v)) // it may be copied
	c.args[name] = v
}

func (w *word) argNames() []string {
	var ns []string
	for _, a := range w.args {
		ns = append(ns, a.name)
	}
	return ns
}

// signature shows how the word is called.
func (w *word) signature() string {
	var b strings.Builder
	if w.on != "" {
		b.WriteString("." + w.name + "(")
	} else {
		b.WriteString(w.name + "(")
	}
	for i, a := range w.args {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(a.name)
		if a.def != "" {
			b.WriteString(" = " + a.def)
		}
	}
	return b.String() + ")"
}

// problem reports a mistake in the argument called name ("" for the call as a
// whole) and marks the call as failed.
func (c *call) problem(name, advice, format string, args ...any) {
	c.failed = true
	c.l.report(Problem{Pos: c.at(name), Message: fmt.Sprintf(format, args...), Advice: advice, Via: c.via})
}

// at is where an argument stands in the file.
func (c *call) at(name string) mechanism.Pos {
	i, ok := c.order[name]
	if !ok {
		i = -1
	}
	return c.l.argument(c.key, name, i)
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
