package design

import (
	"regexp"
	"slices"
	"strings"

	"go.starlark.net/syntax"
)

// What gives names in a line that cannot be read, as far as can be told: an equals
// sign, a function, a loop, and load, which also takes names in quotes.
var (
	byEquals   = regexp.MustCompile(`(?m)^[ \t]*([A-Za-z_]\w*(?:[ \t]*,[ \t]*[A-Za-z_]\w*)*)[ \t]*[-+*/%&|^]?/?=[^=]`)
	byFunction = regexp.MustCompile(`(?m)^[ \t]*def[ \t]+(\w+)`)
	byLoop     = regexp.MustCompile(`(?m)^[ \t]*for[ \t]+(.*?)\bin\b`)
	byLoad     = regexp.MustCompile(`(?m)^load[ \t]*\((.*)$`)
	oneName    = regexp.MustCompile(`[A-Za-z_]\w*`)
)

// leaveOut blanks the statements that cannot be read, so that the rest of the
// file is looked at too; the names that they would have given become unknown,
// of which nothing is said. It tells whether anything was left out.
func (r *run) leaveOut(bad []chunk) bool {
	if len(bad) == 0 || r.unread != nil {
		return false
	}
	r.unread = []string{}
	src := slices.Clone(r.src)
	for _, c := range bad {
		text := string(src[c.lo:c.hi])
		for _, gives := range []*regexp.Regexp{byEquals, byFunction, byLoop, byLoad} {
			for _, m := range gives.FindAllStringSubmatch(text, -1) {
				r.unread = append(r.unread, oneName.FindAllString(m[1], -1)...)
			}
		}
		for i := c.lo; i < c.hi; i++ {
			if src[i] != '\n' {
				src[i] = ' '
			}
		}
	}
	r.src = src
	r.unread = slices.DeleteFunc(r.unread, func(n string) bool {
		return r.l.env[n] != nil || strings.HasPrefix(n, hiddenPrefix)
	})
	slices.Sort(r.unread)
	r.unread = slices.Compact(r.unread)
	return true
}

// unreadNames are statements that make those names unknown.
func (r *run) unreadNames() (out []syntax.Stmt) {
	for _, n := range r.unread {
		at := syntax.MakePosition(&r.name, 1, 1)
		out = append(out, &syntax.AssignStmt{
			OpPos: at, Op: syntax.EQ,
			LHS: &syntax.Ident{NamePos: at, Name: n},
			RHS: &syntax.Ident{NamePos: at, Name: unknownType},
		})
	}
	return out
}
