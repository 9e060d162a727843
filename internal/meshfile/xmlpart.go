package meshfile

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
)

// xmlPart walks the elements of one XML part of a package.
type xmlPart struct {
	file, part string
	r          *partReader
	d          *xml.Decoder
	depth      int
	o          Limits
}

func (p *opc) openXML(part string) (*xmlPart, error) {
	r, err := p.open(part)
	if err != nil {
		return nil, err
	}
	return &xmlPart{file: p.name, part: part, r: r, d: xml.NewDecoder(r), o: p.o}, nil
}

func (x *xmlPart) close() { x.r.close() }

func (x *xmlPart) line() int {
	l, _ := x.d.InputPos()
	return l
}

func (x *xmlPart) place(line int) string { return fmt.Sprintf("%s, line %d", x.part, line) }

func (x *xmlPart) fault(what string) error { return x.faultAt(x.line(), what) }

func (x *xmlPart) faultAt(line int, what string) error {
	return &Error{File: x.file, Place: x.place(line), What: what, Do: doAgain}
}

// token gives the next start, end or text; nil at the end of the part. A
// document type is refused: no mesh needs one, and entities are defined there.
func (x *xmlPart) token() (xml.Token, error) {
	for {
		x.r.nextToken()
		t, err := x.d.Token()
		if errors.Is(err, io.EOF) {
			return nil, nil
		}
		if err != nil {
			return nil, x.broken(err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			if x.depth++; x.depth > x.o.Depth {
				return nil, x.fault(fmt.Sprintf("elements nested deeper than %d", x.o.Depth))
			}
			return t, nil
		case xml.EndElement:
			x.depth--
			return t, nil
		case xml.CharData:
			return t, nil
		case xml.Directive:
			return nil, &Error{
				File: x.file, Place: x.place(x.line()), What: "a document type or entity declaration (<!...>), which 3MF forbids", Do: doPlain,
			}
		}
	}
}

// broken explains an error of the decoder.
func (x *xmlPart) broken(err error) error {
	var own *Error
	if errors.As(err, &own) {
		return own
	}
	var syn *xml.SyntaxError
	if errors.As(err, &syn) {
		return &Error{File: x.file, Place: x.place(syn.Line), What: "the XML is broken: " + syn.Msg, Do: doAgain}
	}
	return &Error{File: x.file, Place: x.place(x.line()), What: "the XML cannot be read", Do: doAgain, Err: err}
}

// children calls f for every element directly inside the one just opened, up
// to its end. f must read each element to its end: by children, text or skip.
func (x *xmlPart) children(f func(e *xml.StartElement) error) error {
	for {
		t, err := x.token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case nil:
			return x.fault("the XML ends within an element: it is cut short")
		case xml.EndElement:
			return nil
		case xml.StartElement:
			if err := f(&t); err != nil {
				return err
			}
		}
	}
}

// skip reads over the element just opened.
func (x *xmlPart) skip() error {
	return x.children(func(*xml.StartElement) error { return x.skip() })
}

// text reads the element just opened and gives its text.
func (x *xmlPart) text() (string, error) {
	var s []byte
	for {
		t, err := x.token()
		if err != nil {
			return "", err
		}
		switch t := t.(type) {
		case nil:
			return "", x.fault("the XML ends within an element: it is cut short")
		case xml.EndElement:
			return string(s), nil
		case xml.CharData:
			if len(s)+len(t) > int(x.o.TokenBytes) {
				return "", x.fault(fmt.Sprintf("a text of more than %d bytes", x.o.TokenBytes))
			}
			s = append(s, t...)
		case xml.StartElement:
			if err := x.skip(); err != nil {
				return "", err
			}
		}
	}
}

// attrs gives the attributes without a namespace, and refuses one given twice
// (encoding/xml lets that pass).
func (x *xmlPart) attrs(e *xml.StartElement) (map[string]string, error) {
	m := make(map[string]string, len(e.Attr))
	for _, a := range e.Attr {
		if a.Name.Space != "" || a.Name.Local == "xmlns" {
			continue
		}
		if _, twice := m[a.Name.Local]; twice {
			return nil, x.fault(fmt.Sprintf("attribute %s of %s is given twice", quoteWord(a.Name.Local), e.Name.Local))
		}
		m[a.Name.Local] = a.Value
	}
	return m, nil
}
