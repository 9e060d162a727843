package meshfile

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// textSTL reads the words of a text STL, counting lines.
//
//	solid NAME
//	  facet normal x y z
//	    outer loop
//	      vertex x y z  (three times)
//	    endloop
//	  endfacet
//	endsolid NAME
//
// Capitals and the division into lines do not count, save that a name ends with
// its line. Normals are read and dropped, as in binary files.
type textSTL struct {
	name  string
	rest  []byte
	line  int // of the next byte
	at    int // line of the word read last
	count int // triangles so far
	o     Limits
}

func readTextSTL(name string, data []byte, o Limits) (*File, error) {
	s := &textSTL{name: name, rest: skipBOM(data), line: 1, at: 1, o: o}
	f := &File{Format: "text STL", Metadata: map[string]string{}}
	for {
		w := s.word()
		if w == "" {
			break
		}
		if w != "solid" {
			return nil, s.fault(fmt.Sprintf("%s where \"solid\" is expected", quoteWord(w)))
		}
		solid := strings.ToValidUTF8(strings.TrimSpace(s.restOfLine()), "?")
		if solid == "" {
			solid = baseName(name)
		}
		ob, err := s.solid(solid)
		if err != nil {
			return nil, err
		}
		if len(ob.Mesh.T) == 0 {
			f.Notes = append(f.Notes, fmt.Sprintf("solid %s has no triangle", quoteWord(solid)))
		} else {
			f.Objects = append(f.Objects, ob)
		}
		if len(f.Objects)+len(f.Notes) > o.Entries {
			return nil, &Error{
				File: name, Place: s.place(), What: fmt.Sprintf("more than %d solids", o.Entries), Do: doSmaller,
			}
		}
	}
	if len(f.Objects) == 0 {
		return nil, &Error{File: name, What: "the file has no triangle", Do: doAgain}
	}
	return f, nil
}

// solid reads the facets up to and with "endsolid".
func (s *textSTL) solid(solid string) (Object, error) {
	w := newWelder(0)
	for {
		switch word := s.word(); word {
		case "facet":
			c, err := s.facet()
			if err != nil {
				return Object{}, err
			}
			if s.count++; s.count > s.o.Triangles {
				return Object{}, tooManyTriangles(s.name, s.place(), int64(s.count), s.o)
			}
			w.add(c)
		case "endsolid":
			s.restOfLine()
			return Object{Name: solid, Mesh: w.m}, nil
		case "":
			return Object{}, s.cut("\"endsolid\"")
		default:
			return Object{}, s.fault(fmt.Sprintf("%s where \"facet\" or \"endsolid\" is expected", quoteWord(word)))
		}
	}
}

// facet reads from "normal" to "endfacet".
func (s *textSTL) facet() ([3]vec, error) {
	var c [3]vec
	if err := s.want("normal"); err != nil {
		return c, err
	}
	for range 3 {
		if w := s.word(); w == "" {
			return c, s.cut("a normal")
		}
	}
	if err := s.want("outer", "loop"); err != nil {
		return c, err
	}
	for k := range c {
		if err := s.want("vertex"); err != nil {
			return c, err
		}
		v, err := s.point()
		if err != nil {
			return c, err
		}
		c[k] = v
	}
	return c, s.want("endloop", "endfacet")
}

func (s *textSTL) point() (vec, error) {
	var x [3]float64
	for i := range x {
		w := s.word()
		if w == "" {
			return vec{}, s.cut("a coordinate")
		}
		v, err := decimal(w)
		if err != nil {
			return vec{}, &Error{File: s.name, Place: s.placeNext(), What: err.Error(), Do: doNumbers}
		}
		x[i] = v
	}
	p := vec{X: x[0], Y: x[1], Z: x[2]}
	if what := badPoint(p, s.o.Extent); what != "" {
		return p, &Error{File: s.name, Place: s.placeNext(), What: "a corner " + what, Do: doNumbers}
	}
	return p, nil
}

// decimal reads a finite decimal number and nothing else: no hexadecimal, no
// "inf", no "nan".
func decimal(w string) (float64, error) {
	for i := 0; i < len(w); i++ {
		if c := w[i]; (c < '0' || c > '9') && c != '+' && c != '-' && c != '.' && c != 'e' && c != 'E' {
			return 0, fmt.Errorf("%s is not a number", quoteWord(w))
		}
	}
	v, err := strconv.ParseFloat(w, 64)
	if err != nil {
		return 0, fmt.Errorf("%s is not a number that can be used", quoteWord(w))
	}
	return v, nil
}

// want reads the words given, in this order.
func (s *textSTL) want(words ...string) error {
	for _, want := range words {
		w := s.word()
		if w == "" {
			return s.cut(strconv.Quote(want))
		}
		if w != want {
			return s.fault(fmt.Sprintf("%s where %q is expected", quoteWord(w), want))
		}
	}
	return nil
}

// word gives the next word in small letters, "" at the end.
func (s *textSTL) word() string {
	i := 0
	for i < len(s.rest) && isSpace(s.rest[i]) {
		if s.rest[i] == '\n' {
			s.line++
		}
		i++
	}
	s.at = s.line
	j := i
	for j < len(s.rest) && !isSpace(s.rest[j]) {
		j++
	}
	w := s.rest[i:j]
	s.rest = s.rest[j:]
	return strings.ToLower(string(w))
}

func (s *textSTL) restOfLine() string {
	i := bytes.IndexByte(s.rest, '\n')
	if i < 0 {
		i = len(s.rest)
	}
	l := string(s.rest[:i])
	s.rest = s.rest[i:]
	return l
}

func isSpace(c byte) bool { return c == ' ' || (c >= '\t' && c <= '\r') }

func (s *textSTL) place() string {
	return fmt.Sprintf("line %d, triangle %d", s.at, s.count)
}

// placeNext is the place within a triangle that is not counted yet.
func (s *textSTL) placeNext() string {
	return fmt.Sprintf("line %d, triangle %d", s.at, s.count+1)
}

func (s *textSTL) fault(what string) error {
	return &Error{File: s.name, Place: s.placeNext(), What: what, Do: doAgain}
}

func (s *textSTL) cut(want string) error {
	return &Error{
		File: s.name, Place: s.placeNext(), What: "the file ends where " + want + " is expected: it is cut short", Do: doAgain,
	}
}

// quoteWord quotes a word of a file for a message, shortened.
func quoteWord(w string) string {
	const longest = 40
	if len(w) > longest {
		return strconv.Quote(w[:longest]) + "..."
	}
	return strconv.Quote(w)
}
