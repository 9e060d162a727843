package meshfile

import (
	"fmt"
	"strings"
)

// Error is a fault of a file: where it is, what is wrong and what to do.
type Error struct {
	File  string // as the caller named it
	Place string // "line 12", "triangle 3 (byte 234)", "3D/3dmodel.model, line 7"; empty for the file as a whole
	What  string
	Do    string // what the user can do about it
	Err   error  // the cause, if another package found the fault
}

func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	for _, s := range []string{e.Place, e.What} {
		if s != "" {
			b.WriteString(": ")
			b.WriteString(s)
		}
	}
	if e.Err != nil {
		fmt.Fprintf(&b, ": %v", e.Err)
	}
	if e.Do != "" {
		b.WriteString("; ")
		b.WriteString(e.Do)
	}
	return b.String()
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// What to do, where several faults share it.
const (
	doAgain   = "export or download the file again"
	doNumbers = "a coordinate must be a finite decimal number; export the file again"
	doSmaller = "make it smaller, or split it into several files"
	doPlain   = "open it in a modeller and export it as plain 3MF or STL"
)
