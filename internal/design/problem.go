package design

import (
	"fmt"
	"slices"
	"strings"

	"feint/internal/mechanism"
)

// Problem is one mistake in a design.
type Problem struct {
	Pos     mechanism.Pos
	Message string          // what is wrong
	Advice  string          // what to do about it
	Via     []mechanism.Pos // the calls that led there, nearest first; empty at the top level
}

func (p Problem) String() string {
	s := p.Pos.String() + ": " + p.Message
	if p.Advice != "" {
		s += "; " + p.Advice
	}
	for _, v := range p.Via {
		s += " (reached from " + v.String() + ")"
	}
	return s
}

// Problems is the error of Load: all that was found wrong, by file and line,
// and what is known of the design nevertheless.
type Problems struct {
	List    []Problem
	Params  []mechanism.Param // those that were declared before or beside the mistakes
	Sources []string          // absolute paths of every file read, for watching
}

func (p *Problems) Error() string {
	lines := make([]string, len(p.List))
	for i, x := range p.List {
		lines[i] = x.String()
	}
	return strings.Join(lines, "\n")
}

// A broken loop should not bury the other mistakes: no more than these are
// kept at one place, and in all.
const (
	maxProblemsHere = 5
	maxProblems     = 200
)

// report keeps a problem unless it is already there.
func (l *loader) report(p Problem) {
	here := 0
	for _, q := range l.problems {
		if q.Pos == p.Pos {
			if q.Message == p.Message {
				return
			}
			here++
		}
	}
	if here < maxProblemsHere && len(l.problems) < maxProblems {
		l.problems = append(l.problems, p)
	}
}

// reportf keeps a problem with a formatted message.
func (l *loader) reportf(pos mechanism.Pos, advice, format string, args ...any) {
	l.report(Problem{Pos: pos, Message: fmt.Sprintf(format, args...), Advice: advice})
}

// failure is the error of a load that met problems, nil if it met none.
func (l *loader) failure() error {
	if len(l.problems) == 0 {
		return nil
	}
	list := slices.Clone(l.problems)
	slices.SortStableFunc(list, func(a, b Problem) int {
		if c := fileOrder(a.Pos.File, l.file) - fileOrder(b.Pos.File, l.file); c != 0 {
			return c
		}
		if c := strings.Compare(a.Pos.File, b.Pos.File); c != 0 {
			return c
		}
		if c := a.Pos.Line - b.Pos.Line; c != 0 {
			return c
		}
		return a.Pos.Col - b.Pos.Col
	})
	return &Problems{List: list, Params: l.draft.params, Sources: l.folder.sources()}
}

// fileOrder puts the design itself before the files that it loads.
func fileOrder(file, design string) int {
	if file == design {
		return 0
	}
	return 1
}
