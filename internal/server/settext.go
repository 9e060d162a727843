package server

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"go.starlark.net/syntax"
)

// setInText gives params other defaults in the text of a design. Only the letters
// of the numbers change; comments, spaces and everything else stay.
func (s *Server) setInText(_ http.ResponseWriter, r *http.Request) (any, error) {
	name := r.PathValue("design")
	if err := designName(name); err != nil {
		return nil, err
	}
	var a SetInText
	if err := readJSON(r, &a); err != nil {
		return nil, err
	}
	text := a.Text
	for _, k := range a.Set {
		var err error
		if text, err = setDefault(name, text, k.Name, k.Value); err != nil {
			return nil, bad("%v", err)
		}
	}
	return TextOnly{text}, nil
}

// setDefault changes the default of one param where it is written as a plain number.
func setDefault(file, text, name string, value float64) (string, error) {
	f, err := (&syntax.FileOptions{Set: true, While: true, TopLevelControl: true, GlobalReassign: true, Recursion: true}).Parse(file, text, 0)
	if err != nil {
		return "", fmt.Errorf("the text cannot be read, mend it first: %w", err)
	}
	var at syntax.Expr
	found := 0
	syntax.Walk(f, func(n syntax.Node) bool {
		if c, ok := n.(*syntax.CallExpr); ok {
			if e := defaultOf(c, name); e != nil {
				at, found = e, found+1
			}
		}
		return true
	})
	switch {
	case found == 0:
		return "", fmt.Errorf("no param(%q, ...) stands in %s itself; change it where it is written", name, file)
	case found > 1:
		return "", fmt.Errorf("param %q stands in %s more than once; change it in the text", name, file)
	}
	start, end := at.Span()
	if !plainNumber(at) {
		return "", fmt.Errorf("%s:%d: the default of param %q is no plain number but worked out; change it in the text", file, start.Line, name)
	}
	from, err := offset(text, start)
	if err != nil {
		return "", err
	}
	to, err := offset(text, end)
	if err != nil {
		return "", err
	}
	return text[:from] + strconv.FormatFloat(value, 'f', -1, 64) + text[to:], nil
}

// defaultOf is the default of a call param("name", default, ...), nil if the call
// is another one.
func defaultOf(c *syntax.CallExpr, name string) syntax.Expr {
	if id, ok := c.Fn.(*syntax.Ident); !ok || id.Name != "param" {
		return nil
	}
	var plain []syntax.Expr
	named := map[string]syntax.Expr{}
	for _, a := range c.Args {
		if b, ok := a.(*syntax.BinaryExpr); ok && b.Op == syntax.EQ {
			if id, ok := b.X.(*syntax.Ident); ok {
				named[id.Name] = b.Y
			}
			continue
		}
		plain = append(plain, a)
	}
	pick := func(i int, key string) syntax.Expr {
		if i < len(plain) {
			return plain[i]
		}
		return named[key]
	}
	lit, ok := pick(0, "name").(*syntax.Literal)
	if !ok || lit.Token != syntax.STRING || lit.Value != name {
		return nil
	}
	return pick(1, "default")
}

// plainNumber tells whether an expression is a number, with a sign or without.
func plainNumber(e syntax.Expr) bool {
	if u, ok := e.(*syntax.UnaryExpr); ok && (u.Op == syntax.MINUS || u.Op == syntax.PLUS) {
		e = u.X
	}
	l, ok := e.(*syntax.Literal)
	return ok && (l.Token == syntax.INT || l.Token == syntax.FLOAT)
}

// offset is where in the text a position lies, in bytes; columns count letters.
func offset(text string, p syntax.Position) (int, error) {
	at := 0
	for line := int32(1); line < p.Line; line++ {
		i := strings.IndexByte(text[at:], '\n')
		if i < 0 {
			return 0, errors.New("the text ends before the param does")
		}
		at += i + 1
	}
	col := int32(1)
	for i := range text[at:] {
		if col == p.Col {
			return at + i, nil
		}
		col++
	}
	if col == p.Col {
		return len(text), nil
	}
	return 0, errors.New("the text ends before the param does")
}
