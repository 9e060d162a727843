package design

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
)

// rest completes a chunk to a whole design, with what the chunk itself leaves out.
func rest(chunk string) string {
	s := "\n"
	if !strings.Contains(chunk, "frame = True") {
		s += "part(\"rest box\", solid = block(1, 1, 1), frame = True)\n"
	}
	if !strings.Contains(chunk, "goal(") {
		s += "rest_lid = part(\"rest lid\", solid = block(1, 1, 1), travels = [slide(z, 0, 9)])\ngoal(\"rest goal\", {rest_lid.slide: (5, None)})\n"
	}
	return s
}

var (
	expectation = regexp.MustCompile(`###(!?) (.*)$`)
	setting     = regexp.MustCompile(`(?m)^#set (.*)$`)
)

// wanted is a message that a chunk expects, on a line or (0) on none.
type wanted struct {
	line int
	re   *regexp.Regexp
}

func expectations(t *testing.T, chunk string) (ws []wanted) {
	for i, line := range strings.Split(chunk, "\n") {
		m := expectation.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		for rest := strings.TrimSpace(m[2]); rest != ""; rest = strings.TrimSpace(rest) {
			q, err := strconv.QuotedPrefix(rest)
			if err != nil {
				t.Fatalf("expectation %q is not in quotes", rest)
			}
			rest = rest[len(q):]
			s, err := strconv.Unquote(q)
			if err != nil {
				t.Fatal(err)
			}
			w := wanted{i + 1, regexp.MustCompile(s)}
			if m[1] == "!" {
				w.line = 0
			}
			ws = append(ws, w)
		}
	}
	return ws
}

// TestMistakes runs the chunks of testdata/*.txt, in the manner of the tests of
// go.starlark.net: each is a design, and every mistake in it is announced on its
// line by ### and a regular expression; ###! announces one that has no line. All
// must be found in one go, and nothing else.
func TestMistakes(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatal(err, files)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		line := 1
		for _, chunk := range strings.Split(string(data), "\n---\n") {
			t.Run(filepath.Base(f)+":"+strconv.Itoa(line), func(t *testing.T) { runChunk(t, chunk) })
			line += strings.Count(chunk, "\n") + 2
		}
	}
}

func runChunk(t *testing.T, chunk string) {
	o := Options{FS: fstest.MapFS{
		"d.star":     {Data: []byte(chunk + rest(chunk))},
		"tower.star": {Data: []byte("height = 30\ndef stack(n):\n    return block(1, 1, n * height)\n")},
		"bad.star":   {Data: []byte("a = 1\nb = nothing_known\n")},
		"round.star": {Data: []byte("load(\"round.star\", \"a\")\na = 1\n")},
		"lid.stl":    {Data: []byte("solid lid\nendsolid lid\n")},
		"both.3mf":   {Data: []byte("PK")},
	}}
	for _, m := range setting.FindAllStringSubmatch(chunk, -1) {
		s, err := ParseSetting(m[1])
		if err != nil {
			t.Fatal(err)
		}
		o.Set = append(o.Set, s)
	}
	m, err := Load("d.star", o)
	var ps *Problems
	if err == nil {
		ps = &Problems{}
		if m == nil {
			t.Fatal("neither a mechanism nor an error")
		}
	} else if !errors.As(err, &ps) || m != nil {
		t.Fatalf("mechanism %v, error %v", m, err)
	}
	ws := expectations(t, chunk)
	for _, p := range ps.List {
		found := false
		line := p.Pos.Line
		if p.Pos.File != "d.star" {
			line = 0
		}
		for i, w := range ws {
			if w.line == line && w.re.MatchString(p.String()) {
				ws = append(ws[:i:i], ws[i+1:]...)
				found = true
				break
			}
		}
		if !found {
			t.Errorf("unexpected: %s", p)
		}
	}
	for _, w := range ws {
		t.Errorf("line %d: nothing matches %q", w.line, w.re)
	}
}
