package design

import (
	"bytes"
	"errors"
	"maps"
	"slices"
	"strings"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"feint/internal/mechanism"
)

// maxRuns bounds how often a file is run again without a statement that failed.
const maxRuns = 12

func fileOptions() *syntax.FileOptions {
	return &syntax.FileOptions{Set: true, While: true, TopLevelControl: true, GlobalReassign: true}
}

// runFile runs one file and returns its names, nil if it could not be run at
// all. Where a statement of the top level fails, its mistake is reported, the
// names that it would have given become unknown, and the file is run again
// without it, so that later mistakes are found too. Running again changes
// nothing else: a design has no effect but on the draft, which is put back.
func (l *loader) runFile(th *starlark.Thread, name string, src []byte) starlark.StringDict {
	src = bytes.TrimPrefix(src, []byte("\ufeff"))
	if pos, msg, advice := tooNested(name, src); msg != "" {
		l.hard = true
		l.reportf(pos, advice, "%s", msg)
		return nil
	}
	r := &run{l: l, name: name, src: src, dropped: map[int]bool{}, missing: map[string]bool{}}
	saved, modules, steps := l.draft.clone(), maps.Clone(l.modules), th.Steps
	var globals starlark.StringDict
	for range maxRuns {
		l.draft, l.modules = saved.clone(), maps.Clone(modules)
		th.Steps = steps
		var again bool
		globals, again = r.once(th)
		if !again || l.fatal {
			break
		}
	}
	return globals
}

// run is the state of running one file several times.
type run struct {
	l       *loader
	name    string
	src     []byte
	dropped map[int]bool    // statements of the top level that failed
	missing map[string]bool // names that are defined nowhere
	unread  []string        // names that statements would give which cannot be read
}

// once runs the file; again tells that more can be learnt by another run.
func (r *run) once(th *starlark.Thread) (globals starlark.StringDict, again bool) {
	f, err := fileOptions().Parse(r.name, r.src, 0)
	if err != nil {
		r.l.hard = true
		bad := r.l.reportSyntax(r.name, r.src, err)
		return nil, r.leaveOut(bad)
	}
	original := slices.Clone(f.Stmts)
	spans := make([][2]syntax.Position, len(original))
	for i, s := range original {
		spans[i][0], spans[i][1] = s.Span()
	}
	r.replaceDropped(f)
	known := r.l.names(f)
	r.l.instrument(f)
	env := r.environment()
	prog, err := starlark.FileProgram(f, env.Has)
	if err != nil {
		return nil, r.unresolved(err, known, spans)
	}
	globals, err = prog.Init(th, env)
	if err == nil {
		return globals, false
	}
	r.l.hard = true
	pos := r.l.reportFailure(err)
	if strings.Contains(err.Error(), "Starlark computation cancelled") {
		r.l.fatal = true
		return globals, false
	}
	return globals, r.drop(pos, spans)
}

// environment is the language with the names that are defined nowhere as unknown.
func (r *run) environment() starlark.StringDict {
	if len(r.missing) == 0 {
		return r.l.env
	}
	env := starlark.StringDict{}
	for k, v := range r.l.env {
		env[k] = v
	}
	for k := range r.missing {
		env[k] = unknown{}
	}
	return env
}

// unresolved reports names that are defined nowhere and statements out of place.
func (r *run) unresolved(err error, known []string, spans [][2]syntax.Position) (again bool) {
	r.l.hard = true
	var list resolve.ErrorList
	if !errors.As(err, &list) {
		r.l.reportf(mechanism.Pos{File: r.name}, "", "%v", err)
		return false
	}
	for _, e := range list {
		if name, ok := strings.CutPrefix(e.Msg, "undefined: "); ok {
			name, _, _ = strings.Cut(name, " ")
			r.l.reportf(toPos(e.Pos), meant(name, known), "%s is not known", clip(name))
			if !r.missing[name] {
				r.missing[name], again = true, true
			}
			continue
		}
		msg, advice := plainFailure(e.Msg)
		r.l.reportf(toPos(e.Pos), advice, "%s", msg)
		again = r.drop(toPos(e.Pos), spans) || again
	}
	return again
}

// drop leaves the statement at pos out of the next run.
func (r *run) drop(pos mechanism.Pos, spans [][2]syntax.Position) bool {
	for i, s := range spans {
		if !before(pos, toPos(s[0])) && !before(toPos(s[1]), pos) && pos.File == r.name && !r.dropped[i] {
			r.dropped[i] = true
			return true
		}
	}
	return false
}

func before(a, b mechanism.Pos) bool {
	return a.Line < b.Line || (a.Line == b.Line && a.Col < b.Col)
}

// replaceDropped puts "name = unknown" in place of the statements that failed.
func (r *run) replaceDropped(f *syntax.File) {
	var out []syntax.Stmt
	for i, s := range f.Stmts {
		if !r.dropped[i] {
			out = append(out, s)
			continue
		}
		start, _ := s.Span()
		for _, n := range namesTouched(s) {
			out = append(out, &syntax.AssignStmt{
				OpPos: start, Op: syntax.EQ,
				LHS: &syntax.Ident{NamePos: start, Name: n},
				RHS: &syntax.Ident{NamePos: start, Name: unknownType},
			})
		}
	}
	f.Stmts = append(r.unreadNames(), out...)
}

// namesTouched are the names that a statement of the top level binds, and those
// whose values it changes in place, sorted.
func namesTouched(s syntax.Stmt) []string {
	seen := map[string]bool{}
	var lhs func(e syntax.Expr)
	lhs = func(e syntax.Expr) {
		switch e := e.(type) {
		case *syntax.Ident:
			seen[e.Name] = true
		case *syntax.ParenExpr:
			lhs(e.X)
		case *syntax.TupleExpr:
			for _, x := range e.List {
				lhs(x)
			}
		case *syntax.ListExpr:
			for _, x := range e.List {
				lhs(x)
			}
		case *syntax.IndexExpr:
			lhs(e.X)
		}
	}
	syntax.Walk(s, func(n syntax.Node) bool {
		switch n := n.(type) {
		case *syntax.AssignStmt:
			lhs(n.LHS)
		case *syntax.DefStmt:
			seen[n.Name.Name] = true
			return false
		case *syntax.ForStmt:
			lhs(n.Vars)
		case *syntax.LoadStmt:
			for _, id := range n.To {
				seen[id.Name] = true
			}
		case *syntax.CallExpr:
			if d, ok := n.Fn.(*syntax.DotExpr); ok && changes(d.Name.Name) {
				lhs(d.X)
			}
		case *syntax.LambdaExpr, *syntax.Comprehension:
			return false
		}
		return true
	})
	names := make([]string, 0, len(seen))
	for n := range seen {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// changes tells the methods of lists, tables and sets that change them.
func changes(method string) bool {
	switch method {
	case "append", "extend", "insert", "pop", "popitem", "remove", "clear", "update", "setdefault", "add", "discard":
		return true
	}
	return false
}
