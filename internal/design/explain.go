package design

import (
	"errors"
	"regexp"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"feint/internal/mechanism"
)

// reportFailure reports an error that ended the run of a file, and gives the
// place of the statement of the top level that failed.
func (l *loader) reportFailure(err error) mechanism.Pos {
	var ee *starlark.EvalError
	if !errors.As(err, &ee) || len(ee.CallStack) == 0 {
		l.reportf(mechanism.Pos{File: l.file}, "", "%v", err)
		return mechanism.Pos{}
	}
	top := toPos(ee.CallStack[0].Pos)
	if strings.Contains(ee.Msg, unknownType) {
		return top
	}
	p := Problem{}
	frames := ee.CallStack
	// What is wrong with the values given to a function is the caller's mistake.
	if regexpGiven.MatchString(ee.Msg) && len(frames) > 1 {
		frames = frames[:len(frames)-1]
	}
	for i := len(frames) - 1; i >= 0; i-- {
		pos := toPos(frames[i].Pos)
		if pos.Line == 0 || pos.File == "<builtin>" {
			continue
		}
		if p.Pos.Line == 0 {
			p.Pos = pos
		} else {
			p.Via = append(p.Via, pos)
		}
	}
	p.Message, p.Advice = l.plainCall(ee.Msg, p.Pos)
	if p.Message == "" {
		p.Message, p.Advice = plainFailure(ee.Msg)
	}
	if m := regexpKeyword.FindStringSubmatch(ee.Msg); m != nil {
		p.Pos = l.argument(p.Pos, m[1], -1)
		p.Advice = meant(m[1], l.params[ee.CallStack.At(0).Name])
	}
	l.report(p)
	return top
}

var (
	regexpKeyword = regexp.MustCompile(`unexpected keyword argument "?(\w+)`)
	regexpGiven   = regexp.MustCompile(`^function \S+ (missing|got|accepts)`)
	regexpNonFunc = regexp.MustCompile(`^invalid call of non-function \((.+)\)$`)
	regexpBefore  = regexp.MustCompile(`^(global|local) variable (\S+) referenced before assignment$`)
	regexpBinary  = regexp.MustCompile(`^unknown binary op: (\S+) (\S+|not in) (\S+)$`)
	regexpAssign  = regexp.MustCompile(`^can't assign to \.(\S+) field of (\S+)$`)
	regexpIterate = regexp.MustCompile(`(\S+)(?: value)? is not iterable$`)
	regexpLength  = regexp.MustCompile(`value of type (\S+) has no len$`)
	regexpCompare = regexp.MustCompile(`(\S+) (<|<=|>|>=) (\S+) not implemented$`)
	regexpUnary   = regexp.MustCompile(`^unknown unary op: (\S+) (\S+)$`)
	regexpTwice   = regexp.MustCompile(`^function (\S+) called recursively$`)
)

// plainCall explains the failures that come of giving a word of the language to
// something else.
func (l *loader) plainCall(m string, pos mechanism.Pos) (msg, advice string) {
	if s := regexpBefore.FindStringSubmatch(m); s != nil {
		if l.env[s[2]] != nil {
			return s[2] + " is used here, but this file gives that word of the language to something else further down",
				"choose another name there, for example my_" + s[2]
		}
		return s[2] + " is used before it is given a value", "move this line below the one that gives it"
	}
	s := regexpNonFunc.FindStringSubmatch(m)
	if s == nil {
		return "", ""
	}
	name := "this"
	if c := l.calls[place{pos.File, pos.Line, pos.Col}].callee; c != "" {
		name = c
	}
	if l.env[name] != nil {
		return name + " is " + kindName(s[1]) + " here, since this file gives that word of the language to something else",
			"choose another name for it, for example my_" + name
	}
	return name + " is " + kindName(s[1]) + " and cannot be called", "remove the brackets behind it, or check the name"
}

// besideOperator advises on two kinds that do not go together. A number beside a
// group of numbers is most often one written with a decimal comma.
func besideOperator(left, right string) string {
	number := func(kind string) bool { return kind == "int" || kind == "float" }
	if number(left) && right == "tuple" || number(right) && left == "tuple" {
		return "write decimals with a point: 0.3, not 0,3, which is a pair of numbers"
	}
	return "check both sides: numbers go with numbers, solids with solids"
}

// plainFailure says an error of the interpreter in a maker's words.
func plainFailure(m string) (msg, advice string) {
	switch s := regexpBinary.FindStringSubmatch(m); {
	case s != nil:
		return kindName(s[1]) + " and " + kindName(s[3]) + " do not go together with " + s[2], besideOperator(s[1], s[3])
	case strings.Contains(m, "Starlark computation cancelled"):
		return "the design takes too many steps", "look for a loop that does not end, or for far too many repeats"
	case strings.Contains(m, "division by zero"):
		return "a number is divided by 0", "check the number below the line"
	case regexpTwice.MatchString(m):
		return "the function " + regexpTwice.FindStringSubmatch(m)[1] + " calls itself", "use a for loop instead; the language has no recursion"
	case strings.Contains(m, "unhashable"):
		return m, "use words, numbers or travels on the left of a colon in { ... }"
	case strings.HasPrefix(m, "fail: "):
		said := strings.TrimSpace(strings.TrimPrefix(m, "fail:"))
		if said == "" {
			said = "fail() without a word of why"
		}
		return said, "the design itself stops here"
	case strings.Contains(m, "duplicate key"):
		return m, "keep one of the two"
	case strings.Contains(m, "out of range"):
		return m, "count from 0: the first is [0], the last [-1]"
	case strings.Contains(m, "not in a loop"), strings.Contains(m, "not within a function"):
		return m, "check the indent of the line"
	case strings.Contains(m, "load statement within"):
		return m, "put load at the top of the file"
	case strings.Contains(m, "must follow"), strings.Contains(m, "may not follow"):
		return m, "give values without a name first, then name = value; write decimals with a point, 0.3 and not 0,3"
	case regexpAssign.MatchString(m):
		s := regexpAssign.FindStringSubmatch(m)
		return kindName(s[2]) + " cannot be changed: ." + s[1] + " is not for writing", "give what it needs when it is made"
	case regexpIterate.MatchString(m):
		return kindName(regexpIterate.FindStringSubmatch(m)[1]) + " cannot be gone through one by one", "use a list, or range(...)"
	case regexpLength.MatchString(m):
		return kindName(regexpLength.FindStringSubmatch(m)[1]) + " has no len", "len counts the members of a list or the letters of words"
	case regexpCompare.MatchString(m):
		s := regexpCompare.FindStringSubmatch(m)
		return kindName(s[1]) + " and " + kindName(s[3]) + " cannot be compared with " + s[2], "compare numbers with numbers and words with words"
	case regexpUnary.MatchString(m):
		s := regexpUnary.FindStringSubmatch(m)
		return s[1] + " cannot stand before " + kindName(s[2]), "it goes with numbers and directions"
	case strings.Contains(m, "integer"), strings.Contains(m, "got float, want int"):
		return m, "use int(...) to make a whole number"
	default:
		return m, ""
	}
}

// names are the names that a file may use: the language's and its own.
func (l *loader) names(f *syntax.File) []string {
	seen := map[string]bool{}
	for n := range l.env {
		seen[n] = true
	}
	for n := range starlark.Universe {
		seen[n] = true
	}
	for _, s := range f.Stmts {
		for _, n := range namesTouched(s) {
			seen[n] = true
		}
	}
	var ns []string
	for n := range seen {
		if !strings.HasPrefix(n, hiddenPrefix) && n != unknownType {
			ns = append(ns, n)
		}
	}
	slices.Sort(ns)
	return ns
}
