package design

import (
	"bytes"
	"errors"
	"regexp"
	"strings"

	"go.starlark.net/syntax"

	"feint/internal/mechanism"
)

// The parser and everything after it recurse with the nesting of the file, so
// the nesting is bounded before the file is parsed: a level takes some kilobytes
// of stack, so these bounds keep it under 100 MB. Files of people stay under ten
// brackets, and a list of two thousand points under ten thousand signs.
const (
	maxBrackets = 100
	maxSigns    = 20000 // operators and dots of one statement
	maxIndent   = 400   // letters
)

// tooNested looks for nesting that no person writes.
func tooNested(name string, src []byte) (pos mechanism.Pos, msg, advice string) {
	n := nesting{line: 1, start: true}
	for i := 0; i < len(src); i++ {
		i = n.step(src, i)
		at := mechanism.Pos{File: name, Line: n.line, Col: 1}
		switch {
		case n.depth > maxBrackets:
			return at, "brackets are nested too deeply here", "close some, or give parts of it a name first"
		case n.signs > maxSigns:
			return at, "this statement is too long", "break it into several"
		case n.indent > maxIndent:
			return at, "this line is indented too far", "move the inner part into a function"
		}
	}
	return mechanism.Pos{}, "", ""
}

// nesting is how deep a file is nested at one place.
type nesting struct {
	line, depth, signs, indent int
	start                      bool // nothing but space since the line began
}

// step looks at the byte i and gives the index of the last byte it has dealt with.
func (n *nesting) step(src []byte, i int) int {
	b := src[i]
	switch {
	case b == '\n':
		n.line++
		n.start, n.indent = true, 0
		if n.depth == 0 {
			n.signs = 0
		}
		return i
	case n.start && (b == ' ' || b == '\t'):
		n.indent++
		return i
	case bytes.IndexByte([]byte("([{"), b) >= 0:
		n.depth++
	case bytes.IndexByte([]byte(")]}"), b) >= 0:
		n.depth = max(0, n.depth-1)
	case bytes.IndexByte([]byte("+-~*/%&|^<>=!."), b) >= 0, beginsOperator(src[i:]):
		n.signs++
	case b == '#':
		if j := bytes.IndexByte(src[i:], '\n'); j >= 0 {
			return i + j - 1
		}
		return len(src)
	case b == '"' || b == '\'':
		var lines int
		i, lines = skipString(src, i)
		n.line += lines
	}
	n.start = false
	return i
}

// beginsOperator tells whether the letters look like an operator in words.
func beginsOperator(s []byte) bool {
	for _, w := range [...]string{"not", "lambda", "if", "in", "and", "or", "elif", "else"} {
		if bytes.HasPrefix(s, []byte(w)) {
			return true
		}
	}
	return false
}

// skipString gives the index of the last byte of the string that begins at i,
// and how many lines it spans. A string that does not end is left to the parser.
func skipString(src []byte, i int) (end, lines int) {
	q := src[i : i+1]
	long := bytes.HasPrefix(src[i:], bytes.Repeat(q, 3))
	if long {
		q, i = bytes.Repeat(q, 3), i+2
	}
	for j := i + 1; j < len(src); j++ {
		switch {
		case src[j] == '\\':
			j++
			if j < len(src) && src[j] == '\n' {
				lines++
			}
		case src[j] == '\n' && !long:
			return j - 1, lines
		case src[j] == '\n':
			lines++
		case bytes.HasPrefix(src[j:], q):
			return j + len(q) - 1, lines
		}
	}
	return len(src), lines
}

// reportSyntax reports why a file does not parse: it looks at the statements one
// by one, so that each that cannot be read is told. A statement begins where a
// line begins without indent. It gives those that it told, nil where the file as
// a whole is what cannot be read.
func (l *loader) reportSyntax(name string, src []byte, err error) (bad []chunk) {
	chunks := statements(src)
	for i := 0; i < len(chunks); i++ {
		alone := l.parseChunk(name, src, chunks[i], chunks[i])
		if alone == nil {
			continue
		}
		// A bracket may have been closed on a line without indent.
		const longest = 20
		last := i
		for j := i + 1; j < len(chunks) && j <= i+longest && last == i; j++ {
			if l.parseChunk(name, src, chunks[i], chunks[j]) == nil {
				last = j
			}
		}
		if last == i {
			bad = append(bad, chunks[i])
			l.reportParse(name, src, chunks[i], alone)
		}
		i = last
	}
	if len(bad) == 0 {
		l.reportParse(name, src, chunk{0, len(src)}, err)
	}
	return bad
}

// chunk is one statement of the top level: its bytes.
type chunk struct{ lo, hi int }

var statementStart = regexp.MustCompile(`^[A-Za-z_(\["']`)

// statements splits a file before every line that can begin a statement.
func statements(src []byte) []chunk {
	var cs []chunk
	for lo := 0; lo < len(src); {
		hi := lo + 1 + bytes.IndexByte(src[lo:], '\n')
		if hi == lo {
			hi = len(src)
		}
		line := string(src[lo:hi])
		follows := strings.HasPrefix(line, "else") || strings.HasPrefix(line, "elif") || !statementStart.MatchString(line)
		if len(cs) == 0 || !follows {
			cs = append(cs, chunk{lo, hi})
		} else {
			cs[len(cs)-1].hi = hi
		}
		lo = hi
	}
	return cs
}

// parseChunk parses the statements from a to b with everything before them
// blank, so that places stay right.
func (l *loader) parseChunk(name string, src []byte, a, b chunk) error {
	blank := bytes.Repeat([]byte("\n"), bytes.Count(src[:a.lo], []byte("\n")))
	_, err := fileOptions().Parse(name, append(blank, src[a.lo:b.hi]...), 0)
	return err
}

// reportParse reports one error of the parser, met in the chunk c.
func (l *loader) reportParse(name string, src []byte, c chunk, err error) {
	var se syntax.Error
	if !errors.As(err, &se) {
		l.reportf(mechanism.Pos{File: name}, "", "%v", err)
		return
	}
	pos := toPos(se.Pos)
	if strings.Contains(se.Msg, "got end of file") {
		if at, bracket := openBracket(src[c.lo:c.hi]); bracket != 0 {
			before := src[:c.lo+at]
			pos.Line = 1 + bytes.Count(before, []byte("\n"))
			pos.Col = len([]rune(string(before[bytes.LastIndexByte(before, '\n')+1:]))) + 1
			l.reportf(pos, "close it where the list of values ends", "this %c is never closed", bracket)
			return
		}
	}
	if strings.Contains(se.Msg, "got newline") && pos.Col == 1 && pos.Line > 1 {
		// the end of a line is where the line ends, not where the next begins
		pos.Line--
		lines := bytes.SplitN(src, []byte("\n"), pos.Line+1)
		pos.Col = len([]rune(string(lines[pos.Line-1]))) + 1
	}
	msg, advice := plainSyntax(se.Msg)
	l.reportf(pos, advice, "%s", msg)
}

// openBracket finds the innermost bracket that is not closed, 0 if there is none.
func openBracket(src []byte) (at int, bracket byte) {
	var open []int
	for i := 0; i < len(src); i++ {
		switch src[i] {
		case '(', '[', '{':
			open = append(open, i)
		case ')', ']', '}':
			open = open[:max(0, len(open)-1)]
		case '"', '\'':
			i, _ = skipString(src, i)
		case '#':
			for i+1 < len(src) && src[i+1] != '\n' {
				i++
			}
		}
	}
	if len(open) == 0 {
		return 0, 0
	}
	at = open[len(open)-1]
	return at, src[at]
}

var gotWant = regexp.MustCompile(`^got (.+), want (.+)$`)

// plainSyntax says an error of the parser in a maker's words.
func plainSyntax(m string) (msg, advice string) {
	m = strings.TrimPrefix(m, "syntax error: ")
	if s := gotWant.FindStringSubmatch(m); s != nil {
		got, want := plainToken(s[1]), plainToken(s[2])
		msg = got + " stands where " + want + " should"
		switch {
		case s[2] == "indent":
			return "a line that ends in a colon needs lines below it that belong to it", "indent them by some spaces"
		case s[1] == "indent" || s[1] == "outdent":
			return "the line begins at another place than its neighbours", "begin the lines of one block with the same number of spaces, and all others at the left edge"
		case s[1] == "identifier" && strings.Contains(s[2], "','"):
			return msg, "look for a missing sign or comma (2 * gap, not 2gap), or for a bracket that is not closed, here or on the line before"
		case strings.Contains(s[2], "','") || strings.Contains(s[2], "')'"):
			return msg, "look for a missing comma, or for a bracket that is not closed, here or on the line before"
		case s[2] == "':'":
			return msg, "end the line with a colon"
		case s[2] == "newline":
			return msg, "look for a missing sign or comma, and write one statement on a line"
		default:
			return msg, "compare the line with the examples in the language reference"
		}
	}
	switch {
	case strings.Contains(m, "unexpected newline in string"):
		return "the words in quotes do not end on this line", `close them with "`
	case strings.Contains(m, "indent"):
		return "the indent does not fit: " + m, "begin the lines of one block with the same number of spaces, and all others at the left edge"
	case strings.Contains(m, "keyword argument must have form"):
		return "what stands left of the = is more than a name", "of travels write a table in curly brackets: {lid.lift: 3}"
	default:
		return "this cannot be read: " + m, "remove the sign, or put words in quotes"
	}
}

// plainToken names what the parser met or missed.
func plainToken(t string) string {
	switch t {
	case "int literal", "float literal":
		return "a number"
	case "string literal", "bytes literal":
		return "words in quotes"
	case "identifier":
		return "a name"
	case "newline":
		return "the end of the line"
	case "end of file":
		return "the end of the file"
	case "primary expression":
		return "a value"
	case "as", "class", "del", "except", "finally", "from", "global", "import", "is", "nonlocal", "raise", "try", "with", "yield", "async", "await":
		return "the word " + t + ", which this language has no use for,"
	}
	return t
}
