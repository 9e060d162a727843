package logbook

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// read gives the values of a row from its JSON in the history.
func (f *form) read(text string) ([]any, error) {
	if out, ok := f.readPlain(text); ok {
		return out, nil
	}
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	var was map[string]any
	if err := d.Decode(&was); err != nil {
		return nil, err
	}
	out := make([]any, len(f.cols))
	for i, c := range f.cols {
		v, ok := was[c]
		if !ok {
			out[i] = f.none[i]
			continue
		}
		var err error
		if out[i], err = fitting(v, f.whole[i]); err != nil {
			return nil, fmt.Errorf("%s: %w", c, err)
		}
	}
	return out, nil
}

// readPlain reads a row as the triggers of the history write it, in one pass; not ok
// where it is anything else.
func (f *form) readPlain(text string) (out []any, ok bool) {
	out = slices.Clone(f.none)
	next, rest := 0, []byte(text)
	for opens := byte('{'); ; opens = ',' {
		if len(rest) < 2 || rest[0] != opens || rest[1] != '"' {
			return nil, false
		}
		name, after, ok := bytes.Cut(rest[2:], []byte(`":`))
		if !ok {
			return nil, false
		}
		if next >= len(f.cols) || f.cols[next] != string(name) {
			if next = f.col(string(name)); next < 0 {
				return nil, false
			}
		}
		if out[next], rest, ok = plainValue(after, f.whole[next]); !ok {
			return nil, false
		}
		if len(rest) == 1 && rest[0] == '}' {
			return out, true
		}
		next++
	}
}

// plainValue reads the value at the start of b, and gives what follows.
func plainValue(b []byte, whole bool) (v any, rest []byte, ok bool) {
	if len(b) == 0 {
		return nil, nil, false
	}
	end := 0
	switch b[0] {
	case '"':
		if end = textEnd(b); end < 0 {
			return nil, nil, false
		}
		v, ok = plainString(b[:end])
	case 'n':
		end, ok = len("null"), bytes.HasPrefix(b, []byte("null"))
	default:
		end = numberEnd(b)
		v, ok = plainNumber(b[:end], whole)
	}
	if !ok {
		return nil, nil, false
	}
	return v, b[end:], true
}
