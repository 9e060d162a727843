package logbook

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"
	"unicode/utf8"
)

// plainRow takes a line that is a row as Dump writes it, in one pass. It is not
// done, and nothing has happened, where the line is anything else, right or wrong:
// anyLine then says what it is.
func (l *loader) plainRow(raw []byte) (done bool, err error) {
	rest, ok := bytes.CutPrefix(raw, []byte(`{"table":"`))
	if !ok {
		return false, nil
	}
	name, rest, ok := bytes.Cut(rest, []byte(`","row":{`))
	if !ok {
		return false, nil
	}
	k := l.last[string(name)]
	if k == nil {
		if k, err = l.shapeAhead(string(name), rest); k == nil || err != nil {
			return false, err
		}
		l.last[string(name)] = k
	}
	vals := k.row()
	for i := range k.cols {
		if rest, ok = k.plainField(i, rest); !ok {
			return false, nil
		}
		vals[i] = k.vals[i]
	}
	if !bytes.Equal(rest, []byte("}}\n")) {
		return false, nil
	}
	return true, l.put(k)
}

// shapeAhead is the shape of a row by the keys of its object; nil if it is not plain.
func (l *loader) shapeAhead(table string, rest []byte) (*shape, error) {
	d := json.NewDecoder(bytes.NewReader(append([]byte{'{'}, rest...)))
	var cols []string
	seen := map[string]bool{}
	if _, err := d.Token(); err != nil {
		return nil, nil //nolint:nilerr // anyLine tells
	}
	for d.More() {
		t, err := d.Token()
		key, ok := t.(string)
		if err != nil || !ok || seen[key] {
			return nil, nil //nolint:nilerr // likewise
		}
		seen[key] = true
		cols = append(cols, key)
		var skipped json.RawMessage
		if d.Decode(&skipped) != nil {
			return nil, nil
		}
	}
	if len(cols) == 0 || l.kinds[table] == nil {
		return nil, nil
	}
	return l.shapeOf(table, cols)
}

// plainField reads the key of column i and its value, and gives what follows.
func (k *shape) plainField(i int, rest []byte) (after []byte, ok bool) {
	if i > 0 {
		if rest, ok = bytes.CutPrefix(rest, []byte{','}); !ok {
			return nil, false
		}
	}
	n := len(k.cols[i])
	if len(rest) < n+4 || rest[0] != '"' || string(rest[1:n+1]) != k.cols[i] || rest[n+1] != '"' || rest[n+2] != ':' {
		return nil, false
	}
	rest = rest[n+3:]
	if m := len(k.said[i]); m > 0 && len(rest) > m && (rest[m] == ',' || rest[m] == '}') && bytes.Equal(rest[:m], k.said[i]) {
		return rest[m:], true // as on the row before
	}
	k.vary[i] = k.vary[i] || k.rows > 0
	k.said[i] = k.said[i][:0]
	v, after, ok := plainValue(rest, k.whole[i])
	if !ok {
		return nil, false
	}
	k.vals[i] = v
	k.said[i] = append(k.said[i], rest[:len(rest)-len(after)]...)
	return after, true
}

// textEnd is behind the closing quote of the text at the start of b, -1 if it has none.
func textEnd(b []byte) int {
	for i := 1; i < len(b); i++ {
		switch b[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
	return -1
}

// plainString is a text with its quotes; one with anything but letters as they are
// is read by package json.
func plainString(b []byte) (string, bool) {
	plain := true
	for _, c := range b[1 : len(b)-1] {
		plain = plain && c >= ' ' && c != '\\' && c < utf8.RuneSelf
	}
	if plain {
		return string(b[1 : len(b)-1]), true
	}
	var s string
	err := json.Unmarshal(b, &s)
	return s, err == nil
}

// numberEnd is how long the number of JSON at the start of b is (RFC 8259, section 6),
// 0 if there is none.
func numberEnd(b []byte) int {
	at := 0
	digits := func() bool {
		from := at
		for at < len(b) && b[at] >= '0' && b[at] <= '9' {
			at++
		}
		return at > from
	}
	is := func(set string) bool {
		if at < len(b) && strings.IndexByte(set, b[at]) >= 0 {
			at++
			return true
		}
		return false
	}
	is("-")
	if !is("0") && !digits() {
		return 0
	}
	if is(".") && !digits() {
		return 0
	}
	if is("eE") {
		is("+-")
		if !digits() {
			return 0
		}
	}
	return at
}

// plainNumber is a number of JSON as the column takes it.
func plainNumber(b []byte, whole bool) (any, bool) {
	if whole {
		n, err := strconv.ParseInt(string(b), 10, 64)
		return n, err == nil
	}
	x, err := strconv.ParseFloat(string(b), 64)
	return x, err == nil
}
