package design

import (
	"fmt"

	"go.starlark.net/starlark"
)

// maxNested bounds how deep lists may hold lists: what prints, compares or
// hashes them recurses, and a list can hold itself.
const maxNested = 50

// maxBits bounds whole numbers; no count or length of a box has 600 digits.
const (
	maxBits   = 2048
	maxDigits = 600
)

// charge adds n steps to the cost of the run. The interpreter itself stops the
// run at its next step if the bound is passed.
func (l *loader) charge(th *starlark.Thread, n int) { th.Steps += uint64(max(0, n)) }

// tooBig is the error of an operation that was refused for its size.
type tooBig struct{ what string }

func (e tooBig) Error() string { return e.what }

// afford charges n steps for a value of n letters or members, or refuses it.
func (l *loader) afford(th *starlark.Thread, n int) error {
	if n > l.opts.MaxSize || n < 0 {
		return tooBig{fmt.Sprintf("this would make something of more than %d letters or members", l.opts.MaxSize)}
	}
	l.charge(th, n)
	return nil
}

// product is a*b, or more than any bound where that overflows.
func product(a, b int) int {
	const huge = 1 << 40
	if a > huge || b > huge || (b > 0 && a > huge/b) {
		return huge
	}
	return a * b
}

// weigh counts the letters and members of a value and all that it holds, and
// stops counting beyond the largest size that is allowed.
func (l *loader) weigh(v starlark.Value) int {
	left := l.opts.MaxSize + 1
	l.count(v, 0, &left)
	return l.opts.MaxSize + 1 - left
}

func (l *loader) count(v starlark.Value, depth int, left *int) {
	if depth > maxNested {
		*left = 0
	}
	n := 1
	switch v := v.(type) {
	case starlark.String:
		n += len(v)
	case starlark.Bytes:
		n += len(v)
	case starlark.Int:
		if _, small := v.Int64(); !small {
			n += v.BigInt().BitLen() / 64
		}
	case starlark.Tuple:
		for _, x := range v {
			if *left <= 0 {
				return
			}
			l.count(x, depth+1, left)
		}
	case *starlark.List:
		for i := 0; i < v.Len() && *left > 0; i++ {
			l.count(v.Index(i), depth+1, left)
		}
	case *starlark.Dict:
		l.countItems(v.Items, v.Len(), depth, left)
		return
	case starlark.Sequence: // ranges, sets, the letters of a string
		n += v.Len()
	}
	*left = max(0, *left-n)
}

// countItems counts a table, which must be copied to be looked at.
func (l *loader) countItems(items func() []starlark.Tuple, n, depth int, left *int) {
	if *left -= n + 1; *left <= 0 {
		*left = 0
		return
	}
	for _, kv := range items() {
		if *left <= 0 {
			return
		}
		l.count(kv, depth+1, left)
	}
}

// shallow is the number of letters or members of a value, not looking into them.
func shallow(v starlark.Value) int {
	switch v := v.(type) {
	case starlark.String:
		return len(v)
	case starlark.Bytes:
		return len(v)
	case starlark.Sequence:
		return v.Len()
	case starlark.Indexable:
		return v.Len()
	default:
		return 1
	}
}
