package design

import (
	"errors"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"
)

// bombs are designs that would take all memory or all time. Every one must end
// with a message.
func bombs() map[string]string {
	deep := func(open, inner, end string, n int) string {
		return strings.Repeat(open, n) + inner + strings.Repeat(end, n)
	}
	return map[string]string{
		"letters":          `a = "x" * 1000000000`,
		"letters, turned":  `a = 1000000000 * "x"`,
		"list":             `a = [0] * 10000000000`,
		"group":            `a = (0,) * 1000000000`,
		"bytes":            `a = b"x" * 1000000000`,
		"doubling letters": "a = \"x\"\nfor i in range(60):\n    a = a + a",
		"doubling +=":      "a = \"x\"\nfor i in range(60):\n    a += a",
		"doubling list":    "a = [0]\nfor i in range(60):\n    a += a",
		"doubling item":    "t = [[0]]\nfor i in range(60):\n    t[0] += t[0]",
		"doubling extend":  "a = [0]\nfor i in range(60):\n    a.extend(a)",
		"doubling slice":   "a = [0]\nfor i in range(60):\n    a = a[:] + a[:]",
		"quadratic":        "a = \"\"\nwhile True:\n    a += \"xxxxxxxxxx\"",
		"append":           "a = []\nfor i in range(1000000000):\n    a.append(i)",
		"append lists":     "a = []\nfor i in range(1000000000):\n    a.append([i])",
		"table":            "a = {}\nfor i in range(1000000000):\n    a[i] = str(i)",
		"comprehension":    `a = [i for i in range(1000000000)]`,
		"list of range":    `a = list(range(1000000000))`,
		"tuple of range":   `a = tuple(range(1000000000))`,
		"set of range":     `a = set(range(1000000000))`,
		"sorted range":     `a = sorted(range(1000000000))`,
		"any":              `a = any(range(1000000000000, 0, -1)) and any(range(0, 1)) or all(range(1, 1000000000000))`,
		"max":              `a = max(range(1000000000000))`,
		"zip":              `a = zip(range(1000000000), range(1000000000))`,
		"enumerate":        `a = enumerate(range(1000000000))`,
		"star":             "def f(*a): pass\nf(*range(1000000000))",
		"slice of range":   `a = list(range(1000000000)[1:])`,
		"join":             "a = [\"x\" * 100000] * 100000\nb = \"\".join(a)",
		"separator":        `a = ("x" * 100000).join(["y"] * 100000)`,
		"replace":          `a = ("x" * 100000).replace("x", "y" * 100000)`,
		"replace nothing":  `a = ("x" * 100000).replace("", "y" * 100000)`,
		"format":           `a = ("{0}" * 100000).format("y" * 100000)`,
		"interpolate":      "a = \"x\" * 900000\nfor i in range(60):\n    a = \"%s%s\" % (a, a)",
		"split":            "a = \"x \" * 400000\nb = []\nwhile True:\n    b.append(a.split(\" \"))",
		"whole numbers":    "a = 3\nfor i in range(60):\n    a = a * a",
		"shift":            "a = 1\nfor i in range(100000):\n    a = a << 500",
		"digits":           `a = int("9" * 900000)`,
		"shared list":      "a = [0]\nfor i in range(60):\n    a = [a, a]\nb = str(a)",
		"shared equality":  "def big():\n    a = [0] * 1000\n    for i in range(5):\n        a = [a] * 1000\n    return a\nb = big() == big()",
		"shared key":       "a = (0,)\nfor i in range(60):\n    a = (a, a)\nb = {a: 1}",
		"shared lookup":    "a = (0,)\nfor i in range(60):\n    a = (a, a)\nb = {1: 1}[a]",
		"shared in":        "a = (0,)\nfor i in range(60):\n    a = (a, a)\nb = a in {1: 1}",
		"holds itself":     "a = []\na.append(a)\nb = str(a) + 1\nc = a == a",
		"nested":           "a = []\nfor i in range(1000000):\n    a = [a]\nb = str(a)",
		"printed":          "a = [0]\nfor i in range(60):\n    a = [a, a]\nprint(a)",
		"failed":           "a = [0]\nfor i in range(30):\n    a = [a, a]\nfail(a)",
		"brackets":         "a = " + deep("(", "1", ")", 100000),
		"open brackets":    "a = " + strings.Repeat("[", 200000),
		"not":              "a = " + strings.Repeat("not ", 50000) + "1",
		"signs":            "a = " + strings.Repeat("-", 200000) + "1",
		"lambdas":          "a = " + strings.Repeat("lambda:", 30000) + "1",
		"sum":              "a = 1" + strings.Repeat("+1", 100000),
		"points":           "a = 1" + strings.Repeat(".a", 100000),
		"solids":           "a = block(1, 1, 1)\nfor i in range(60):\n    a = a + a",
		"solid chain":      "a = block(1, 1, 1)\nfor i in range(1000000):\n    a = a.mirrored(x)",
		"repeats":          "a = block(1, 1, 1).repeated(20000, x = 1).around(20000)",
		"route":            "a = (0, 0)\nb = route(a, [(0, 1)] * 900000)\nwhile True:\n    b = route(a, [(0, 1)] * 900000)",
		"outline":          `a = outline([(i, i * i) for i in range(6000)])`,
		"parts":            "for i in range(100000):\n    part(\"p%d\" % i, solid = block(1, 1, 1))",
		"recursion":        "def f(n):\n    return f(n + 1)\nf(0)",
		"mutual recursion": "def f(n):\n    return g(n)\ndef g(n):\n    return f(n)\nf(0)",
		"callback":         "def f(n):\n    return sorted([n], key = f)\nf(0)",
		"mistakes":         "while True:\n    block(1, 1, -1)",
	}
}

// TestBombs runs every bomb and looks at the memory that was taken in all, given
// back or not: it must stay under what the bounds of the package allow.
func TestBombs(t *testing.T) {
	// ten million steps, at sixteen bytes for the dearest, a member of a list
	// that grows, and as much again for what is given back
	const most = 600 << 20
	for name, text := range bombs() {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			m, err := Load("d.star", Options{FS: fstest.MapFS{"d.star": {Data: []byte(text + rest(text))}}})
			runtime.ReadMemStats(&after)
			if took := after.TotalAlloc - before.TotalAlloc; took > most {
				t.Errorf("took %d MB", took>>20)
			}
			var ps *Problems
			if m != nil || !errors.As(err, &ps) || len(ps.List) == 0 {
				t.Fatalf("no message: %v", err)
			}
			if p := ps.List[0]; p.Pos.Line == 0 || p.Advice == "" || strings.Contains(p.Message, unknownType) {
				t.Errorf("message %s", p)
			}
		})
	}
}
