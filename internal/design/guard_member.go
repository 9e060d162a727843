package design

import (
	"errors"
	"fmt"
	"slices"

	"go.starlark.net/starlark"
)

// guarded charges a function of Starlark's own for what it is given.
func (l *loader) guarded(b *starlark.Builtin) function {
	return func(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (starlark.Value, error) {
		given := values(args, kw)
		switch b.Name() {
		case "range", "len", "type", "bool":
		case "int":
			if s, ok := first(given).(starlark.String); ok && len(s) > maxDigits {
				return l.soft(th, tooBig{"this whole number has too many digits"})
			}
		default:
			for _, a := range given {
				if err := l.afford(th, l.weigh(a)); err != nil {
					return l.soft(th, err, given...)
				}
			}
		}
		if slices.ContainsFunc(given, isUnknown) {
			return unknown{}, nil
		}
		if b.Name() == "fail" {
			return starlark.Call(th, b, args, kw) // ends the run
		}
		return l.run(th, b, args, kw)
	}
}

// run calls a function of Starlark's own; its failure is soft.
func (l *loader) run(th *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (starlark.Value, error) {
	v, err := starlark.Call(th, b, args, kw)
	if err == nil {
		return v, nil
	}
	// Call wraps what the builtin said; a failure within a function of the
	// design, called back, has more frames than the builtin's own.
	var ee *starlark.EvalError
	if errors.As(err, &ee) && len(ee.CallStack) > th.CallStackDepth()+1 {
		return nil, err
	}
	return l.soft(th, errors.New(err.Error()), values(args, kw)...)
}

// first is the first of the values, None if there is none.
func first(vs []starlark.Value) starlark.Value {
	if len(vs) == 0 {
		return starlark.None
	}
	return vs[0]
}

func values(args starlark.Tuple, kw []starlark.Tuple) []starlark.Value {
	vs := append([]starlark.Value(nil), args...)
	for _, p := range kw {
		vs = append(vs, p[1])
	}
	return vs
}

// get gives x.name: a method of a word's value, a member of a part, or a method
// of one of Starlark's own values.
func (l *loader) get(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
	return l.attribute(th, args[0], string(args[1].(starlark.String)))
}

func (l *loader) getattr(th *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (starlark.Value, error) {
	if len(args) < 2 || len(args) > 3 || len(kw) > 0 {
		return l.soft(th, errors.New("getattr takes a value, a name and perhaps a default"))
	}
	name, ok := args[1].(starlark.String)
	if !ok {
		return l.soft(th, errors.New("getattr takes a name in quotes"), args...)
	}
	if len(args) == 3 {
		if v := l.find(args[0], string(name)); v != nil {
			return v, nil
		}
		return args[2], nil
	}
	return l.attribute(th, args[0], string(name))
}

func (l *loader) attribute(th *starlark.Thread, x starlark.Value, name string) (starlark.Value, error) {
	if v := l.find(x, name); v != nil {
		return v, nil
	}
	pos, via := l.caller(th)
	p := Problem{Pos: pos, Via: via, Message: fmt.Sprintf("%s has no .%s", describe(x), clip(name))}
	p.Advice = meant(name, l.members(x))
	if _, ok := x.(*freedom); ok {
		p.Advice = "give it to a part first: part(..., travels = [...]), and use the part's travel, for example rod.slide"
	}
	l.report(p)
	return unknown{}, nil
}

// find is the member name of x, nil if there is none.
func (l *loader) find(x starlark.Value, name string) starlark.Value {
	switch x := x.(type) {
	case unknown:
		return x
	case *part:
		return x.member(name)
	case starlark.HasAttrs:
		v, err := x.Attr(name)
		b, ok := v.(*starlark.Builtin)
		if err != nil || !ok {
			return nil
		}
		return starlark.NewBuiltin(name, l.method(x, b)).BindReceiver(x)
	}
	for i := range l.words {
		if w := &l.words[i]; w.on != "" && w.on == x.Type() && w.name == name {
			return l.builtin(w, x)
		}
	}
	return nil
}

// members are the names that find knows for x.
func (l *loader) members(x starlark.Value) []string {
	switch x := x.(type) {
	case *part:
		return x.members()
	case starlark.HasAttrs:
		return x.AttrNames()
	}
	var ns []string
	for i := range l.words {
		if w := &l.words[i]; w.on != "" && w.on == x.Type() {
			ns = append(ns, w.name)
		}
	}
	return ns
}

// method charges a method of one of Starlark's own values, by what it reads and
// what it could make.
func (l *loader) method(x starlark.Value, b *starlark.Builtin) function {
	return func(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (starlark.Value, error) {
		given := values(args, kw)
		size := 1
		switch b.Name() {
		case "append":
		case "get", "setdefault", "add", "discard":
			size += l.weights(given)
		case "join":
			size += l.weights(given)
			if len(given) > 0 {
				size += product(shallow(x), shallow(given[0]))
			}
		case "replace":
			size += shallow(x)
			if len(given) > 1 {
				size += product(shallow(x)+1, shallow(given[1]))
			}
		case "format":
			size += product(shallow(x), l.weights(given)+1)
		default:
			size += shallow(x) + l.weights(given)
		}
		if err := l.afford(th, size); err != nil {
			return l.soft(th, err, given...)
		}
		return l.run(th, b, args, kw)
	}
}

func (l *loader) weights(vs []starlark.Value) int {
	n := 0
	for _, v := range vs {
		n += l.weigh(v)
	}
	return n
}

// item gives x[i].
func (l *loader) item(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
	x, i := args[0], args[1]
	if isUnknown(x) || isUnknown(i) {
		return unknown{}, nil
	}
	switch x := x.(type) {
	case *part:
		if s, ok := starlark.AsString(i); ok {
			return l.attribute(th, x, s)
		}
	case starlark.Mapping:
		if err := l.afford(th, l.weigh(i)); err != nil {
			return l.soft(th, err)
		}
		v, found, err := x.Get(i)
		if err == nil && !found {
			err = fmt.Errorf("the table has no entry for %s", describe(i))
		}
		if err != nil {
			return l.soft(th, err)
		}
		return v, nil
	case starlark.Indexable:
		k, err := starlark.AsInt32(i)
		n := x.Len()
		if err == nil && (k < -n || k >= n) {
			err = fmt.Errorf("[%d] is out of range: there are %d", k, n)
		}
		if err != nil {
			return l.soft(th, err)
		}
		if k < 0 {
			k += n
		}
		return x.Index(k), nil
	}
	return l.soft(th, fmt.Errorf("%s has no numbered members", describe(x)))
}

// key charges a key of a table: hashing reads all of it.
func (l *loader) key(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
	if err := l.afford(th, l.weigh(args[0])); err != nil {
		return l.soft(th, err)
	}
	return args[0], nil
}

// chargeLength charges a value that is about to be copied.
func (l *loader) chargeLength(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
	if err := l.afford(th, shallow(args[0])); err != nil {
		return l.soft(th, err)
	}
	return args[0], nil
}
