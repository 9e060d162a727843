package design

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"feint/internal/mechanism"
)

// loader is the state of one Load.
type loader struct {
	opts     Options
	folder   *folder
	file     string // the design as it is called in messages
	words    []word
	env      starlark.StringDict
	draft    draft
	problems []Problem
	hard     bool // a mistake left part of the design out: judge nothing as missing
	fatal    bool // a limit was met: run nothing any more
	modules  map[string]*module
	calls    map[place]site
	params   map[string][]string // of the functions that the files define, by their names
}

// module is a file named by load.
type module struct {
	globals starlark.StringDict
	busy    bool // being run: a load of it would go in a circle
	failed  bool
}

// place is a place in a file.

type place struct {
	file      string
	line, col int
}

// site is where a call and its arguments stand.
type site struct {
	callee string // the name that is called, "" for more than a name
	start  mechanism.Pos
	args   []siteArg
}

// siteArg is an argument of a call; name is "" for one given by its order.
type siteArg struct {
	name string
	pos  mechanism.Pos
}

func newLoader(path string, o Options) *loader {
	if o.MaxSteps == 0 {
		o.MaxSteps = defaultMaxSteps
	}
	if o.MaxSize == 0 {
		o.MaxSize = defaultMaxSize
	}
	l := &loader{opts: o, file: path, words: vocabulary(), modules: map[string]*module{}, calls: map[place]site{}, params: map[string][]string{}}
	l.env = l.environment()
	l.draft = newDraft()
	return l
}

// runDesign runs the design itself.
func (l *loader) runDesign(base string) {
	src, err := l.folder.source(base)
	if err != nil {
		l.hard = true
		l.reportf(mechanism.Pos{File: l.file}, "check the file", "the design cannot be read: %s", plainError(err))
		return
	}
	thread := l.newThread(0)
	l.runFile(thread, l.file, src)
}

func (l *loader) newThread(steps uint64) *starlark.Thread {
	th := &starlark.Thread{Name: "design", Steps: steps}
	th.SetMaxExecutionSteps(l.opts.MaxSteps)
	th.Load = l.load
	return th
}

// errReported is the error of something that has been reported already.
type errReported struct{}

func (errReported) Error() string { return unknownType }

// load gives the names of another file of the folder.
func (l *loader) load(th *starlark.Thread, name string) (starlark.StringDict, error) {
	pos := l.framePos(th, 0)
	clean, err := l.folder.clean(name)
	if err == nil && !strings.HasSuffix(clean, ".star") {
		l.reportf(pos, "name a file that ends in .star", "load: %q is no design file", clip(name))
		return nil, errReported{}
	}
	if err != nil {
		l.reportf(pos, "move it into the folder of the design and name it from there", "load: %q: %v", clip(name), err)
		return nil, errReported{}
	}
	if m := l.modules[clean]; m != nil {
		if m.busy {
			l.reportf(pos, "move what both need into a third file", "load: %q loads itself, directly or in a circle", clip(name))
			return nil, errReported{}
		}
		if m.failed {
			return nil, errReported{}
		}
		return m.globals, nil
	}
	m := &module{busy: true}
	l.modules[clean] = m
	defer func() { m.busy = false }()
	src, err := l.folder.source(clean)
	if err != nil {
		m.failed = true
		l.reportf(pos, "check the name", "load: %q: %v", clip(name), err)
		return nil, errReported{}
	}
	child := l.newThread(th.Steps)
	m.globals = l.runFile(child, l.folder.show(clean), src)
	th.Steps = child.Steps
	if m.failed = m.globals == nil; m.failed {
		return nil, errReported{}
	}
	m.globals.Freeze()
	return m.globals, nil
}

// framePos is the place of a frame of the call stack.
func (l *loader) framePos(th *starlark.Thread, depth int) mechanism.Pos {
	if depth >= th.CallStackDepth() {
		return mechanism.Pos{}
	}
	return toPos(th.CallFrame(depth).Pos)
}

func toPos(p syntax.Position) mechanism.Pos {
	return mechanism.Pos{File: p.Filename(), Line: int(p.Line), Col: int(p.Col)}
}

// caller is the place that called the running word, and the calls that led there.
func (l *loader) caller(th *starlark.Thread) (mechanism.Pos, []mechanism.Pos) {
	const longest = 3
	var pos mechanism.Pos
	var via []mechanism.Pos
	for i := 1; i < th.CallStackDepth(); i++ {
		fr := th.CallFrame(i)
		p := toPos(fr.Pos)
		if p.Line == 0 || p.File == "<builtin>" {
			continue
		}
		if pos.Line == 0 {
			pos = p
		} else if len(via) < longest {
			via = append(via, p)
		}
	}
	return pos, via
}

// argument is where an argument of the call at pos stands, the start of the
// call for name "" and index -1.
func (l *loader) argument(pos mechanism.Pos, name string, index int) mechanism.Pos {
	s, ok := l.calls[place{pos.File, pos.Line, pos.Col}]
	if !ok {
		return pos
	}
	for i, a := range s.args {
		if (a.name != "" && a.name == name) || (a.name == "" && i == index) {
			return a.pos
		}
	}
	return s.start
}

// digest is the SHA-256 of all that the mechanism depends on: the files, by
// their names from the folder of the design, and the params set from outside.
func (l *loader) digest(base string) string {
	h := sha256.New()
	fmt.Fprintf(h, "design %q\n", base)
	for _, n := range l.folder.names() {
		fmt.Fprintf(h, "file %q %s\n", n, l.folder.read[n])
	}
	for _, p := range l.draft.params {
		if l.isSet(p.Name) {
			fmt.Fprintf(h, "set %q %x\n", p.Name, p.Value)
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}
