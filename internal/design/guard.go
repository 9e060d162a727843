package design

import (
	"errors"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// function is the body of a builtin of Starlark.
type function = func(*starlark.Thread, *starlark.Builtin, starlark.Tuple, []starlark.Tuple) (starlark.Value, error)

// environment is the language: its words, the guarded operations, and guarded
// versions of Starlark's own functions.
func (l *loader) environment() starlark.StringDict {
	env := starlark.StringDict{unknownType: unknown{}}
	for name, v := range starlark.Universe {
		if b, ok := v.(*starlark.Builtin); ok {
			env[name] = starlark.NewBuiltin(name, l.guarded(b))
		}
	}
	for op := syntax.PLUS; op <= syntax.NOT_IN; op++ {
		env[hiddenPrefix+op.String()] = starlark.NewBuiltin(op.String(), l.binary(op))
		env[hiddenPrefix+"augmented:"+op.String()] = starlark.NewBuiltin(op.String(), l.augmented(op))
		env[hiddenPrefix+"item augmented:"+op.String()] = starlark.NewBuiltin(op.String(), l.augmentedItem(op))
	}
	env[hiddenPrefix+"get"] = starlark.NewBuiltin("get", l.get)
	env[hiddenPrefix+"item"] = starlark.NewBuiltin("item", l.item)
	env[hiddenPrefix+"key"] = starlark.NewBuiltin("key", l.key)
	env[hiddenPrefix+"charge"] = starlark.NewBuiltin("charge", l.chargeLength)
	env["print"] = starlark.NewBuiltin("print", l.print)
	env["getattr"] = starlark.NewBuiltin("getattr", l.getattr)
	for i := range l.words {
		if w := &l.words[i]; w.on == "" {
			env[w.name] = l.builtin(w, nil)
		}
	}
	for name, v := range constants() {
		env[name] = v
	}
	return env
}

// soft turns a failed operation into a reported problem and an unknown value,
// so that the run goes on.
func (l *loader) soft(th *starlark.Thread, err error, args ...starlark.Value) (starlark.Value, error) {
	if slices.ContainsFunc(args, isUnknown) || strings.Contains(err.Error(), unknownType) {
		return unknown{}, nil
	}
	// A failure within a function that was called back has its own place.
	if ee := (*starlark.EvalError)(nil); errors.As(err, &ee) {
		return nil, err
	}
	msg, advice := plainFailure(err.Error())
	if big := (tooBig{}); errors.As(err, &big) {
		advice = "make it smaller"
	}
	pos, via := l.caller(th)
	l.report(Problem{Pos: pos, Message: msg, Advice: advice, Via: via})
	return unknown{}, nil
}

// binary is the guarded operator op.
func (l *loader) binary(op syntax.Token) function {
	return func(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		return l.apply(th, op, args[0], args[1])
	}
}

// apply gives x op y.
func (l *loader) apply(th *starlark.Thread, op syntax.Token, x, y starlark.Value) (starlark.Value, error) {
	if isUnknown(x) || isUnknown(y) {
		return unknown{}, nil
	}
	if v, done := l.combine(th, op, x, y); done {
		return v, nil
	}
	err := l.affordOperation(th, op, x, y)
	if err != nil {
		return l.soft(th, err)
	}
	var v starlark.Value
	switch op {
	case syntax.EQL, syntax.NEQ, syntax.LT, syntax.LE, syntax.GT, syntax.GE:
		var b bool
		b, err = starlark.Compare(op, x, y)
		v = starlark.Bool(b)
	case syntax.NOT_IN:
		if v, err = starlark.Binary(syntax.IN, x, y); err == nil {
			v = !v.Truth()
		}
	default:
		v, err = starlark.Binary(op, x, y)
	}
	if err != nil {
		return l.soft(th, err)
	}
	return v, nil
}

// affordOperation charges x op y, or refuses it.
func (l *loader) affordOperation(th *starlark.Thread, op syntax.Token, x, y starlark.Value) error {
	if i, ok := x.(starlark.Int); ok {
		if j, ok := y.(starlark.Int); ok {
			return wholeTooBig(op, i, j)
		}
	}
	if _, ok := x.(starlark.Float); ok {
		if _, ok := y.(starlark.Float); ok {
			return nil
		}
	}
	switch op {
	case syntax.STAR:
		if n, ok := y.(starlark.Int); ok {
			return l.afford(th, product(shallow(x), whole(n)))
		}
		if n, ok := x.(starlark.Int); ok {
			return l.afford(th, product(shallow(y), whole(n)))
		}
		return nil
	case syntax.PLUS:
		return l.afford(th, shallow(x)+shallow(y))
	case syntax.IN, syntax.NOT_IN:
		if _, ok := y.(*starlark.Dict); ok {
			return l.afford(th, l.weigh(x))
		}
	default:
	}
	return l.afford(th, l.weigh(x)+l.weigh(y))
}

// whole is the value of n, or a huge one if it is none that fits.
func whole(n starlark.Int) int {
	i, ok := n.Int64()
	switch {
	case !ok && n.Sign() > 0 || i > 1<<40:
		return 1 << 40
	case !ok || i < 0:
		return 0
	default:
		return int(i)
	}
}

// wholeTooBig refuses operations whose result would have too many digits.
func wholeTooBig(op syntax.Token, x, y starlark.Int) error {
	bits := func(i starlark.Int) int {
		if v, ok := i.Int64(); ok && v > -1<<31 && v < 1<<31 {
			return 31
		}
		return i.BigInt().BitLen()
	}
	n := 0
	switch op {
	case syntax.STAR:
		n = bits(x) + bits(y)
	case syntax.LTLT:
		n = bits(x) + min(whole(y), 2*maxBits)
	case syntax.PLUS, syntax.MINUS:
		n = max(bits(x), bits(y))
	default: // what is left makes nothing larger than its operands
	}
	if n > maxBits {
		return tooBig{"this whole number has too many digits"}
	}
	return nil
}

// augmented is "x op= y": a list grows in place.
func (l *loader) augmented(op syntax.Token) function {
	return func(th *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		return l.inPlace(th, op, args[0], args[1])
	}
}

func (l *loader) inPlace(th *starlark.Thread, op syntax.Token, x, y starlark.Value) (starlark.Value, error) {
	list, ok := x.(*starlark.List)
	if !ok || op != syntax.PLUS {
		return l.apply(th, op, x, y)
	}
	more, ok := y.(starlark.Iterable)
	if !ok {
		return l.apply(th, op, x, y)
	}
	if err := l.afford(th, shallow(y)); err != nil {
		return l.soft(th, err)
	}
	extend, err := list.Attr("extend")
	if err == nil {
		_, err = starlark.Call(th, extend, starlark.Tuple{more}, nil)
	}
	if err != nil {
		return l.soft(th, errors.New(err.Error()))
	}
	return list, nil
}

// augmentedItem is "x[i] op= y".
func (l *loader) augmentedItem(op syntax.Token) function {
	return func(th *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, _ []starlark.Tuple) (starlark.Value, error) {
		old, err := l.item(th, b, args[:2], nil)
		if err != nil || isUnknown(old) {
			return old, err
		}
		v, err := l.inPlace(th, op, old, args[2])
		if err != nil || isUnknown(v) {
			return v, err
		}
		switch x := args[0].(type) {
		case starlark.HasSetKey:
			err = x.SetKey(args[1], v)
		case starlark.HasSetIndex:
			var i int
			if i, err = starlark.AsInt32(args[1]); err == nil {
				if i < 0 {
					i += x.Len()
				}
				err = x.SetIndex(i, v)
			}
		default:
			err = errors.New(describe(x) + " cannot be changed in place")
		}
		if err != nil {
			return l.soft(th, err)
		}
		return starlark.None, nil
	}
}

// print hands the words to the caller.
func (l *loader) print(th *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kw []starlark.Tuple) (starlark.Value, error) {
	var words []string
	for _, a := range args {
		if err := l.afford(th, l.weigh(a)); err != nil {
			return l.soft(th, err)
		}
		s, ok := starlark.AsString(a)
		if !ok {
			s = a.String()
		}
		words = append(words, s)
	}
	if l.opts.Print != nil {
		pos, _ := l.caller(th)
		l.opts.Print(l.argument(pos, "", -1), strings.Join(words, " "))
	}
	return starlark.None, nil
}
