package meshfile

import (
	"archive/zip"
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
)

// A 3MF file is a package after the Open Packaging Conventions (ECMA-376 part
// 2): a zip archive whose part "_rels/.rels" points to the model.

// opc is an opened package. left is what may still be expanded.
type opc struct {
	name  string
	parts map[string]*zip.File // by name in small letters: part names do not differ by case alone
	o     Limits
	left  int64
}

// openPackage reads the directory of a zip archive and refuses what a package
// may not hold. Nothing is unpacked to disk, ever.
func openPackage(name string, data []byte, o Limits) (*opc, error) {
	// archive/zip takes memory for as many entries as it finds, whatever the
	// archive says, so the entries' signatures are counted first. Packed data
	// holds the signature by chance once in 4 GiB; the slack allows for that.
	const slack = 16
	if n := bytes.Count(data, []byte("PK\x01\x02")); n > o.Entries+slack {
		return nil, &Error{File: name, What: fmt.Sprintf("a package of %d files, the limit is %d", n, o.Entries), Do: doPlain}
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, &Error{
			File: name, What: "begins like a zip archive (3MF) but its directory cannot be read: it is cut short or damaged", Do: doAgain, Err: err,
		}
	}
	p := &opc{name: name, parts: map[string]*zip.File{}, o: o, left: o.Expanded}
	for _, f := range z.File {
		if what := badPartName(f.Name); what != "" {
			return nil, &Error{File: name, What: fmt.Sprintf("the package holds a file named %s, %s", quoteWord(f.Name), what), Do: doPlain}
		}
		if strings.HasSuffix(f.Name, "/") {
			continue
		}
		key := strings.ToLower(f.Name)
		if p.parts[key] != nil {
			return nil, &Error{File: name, What: fmt.Sprintf("the package holds two files named %s", quoteWord(f.Name)), Do: doAgain}
		}
		p.parts[key] = f
	}
	return p, nil
}

// badPartName tells why a name may not stand in a package, "" if it may.
func badPartName(n string) string {
	switch {
	case strings.HasPrefix(n, "/"):
		return "which begins at the root"
	case strings.ContainsAny(n, "\\:\x00"):
		return "which no package may hold"
	}
	for _, s := range strings.Split(n, "/") {
		if s == ".." {
			return "which leads out of the package"
		}
	}
	return ""
}

// resolve turns a target of a relationship or a path attribute, as seen from
// the folder from, into the name of a part.
func (p *opc) resolve(from, target string) (string, error) {
	full := target
	if !strings.HasPrefix(target, "/") {
		full = from + "/" + target
	}
	rel := strings.TrimPrefix(full, "/")
	if what := badPartName(rel); what != "" || rel == "" {
		return "", &Error{File: p.name, What: fmt.Sprintf("the package points to %s, %s", quoteWord(target), what), Do: doAgain}
	}
	return path.Clean(rel), nil
}

// open gives a part for reading, guarded by the limits.
func (p *opc) open(part string) (*partReader, error) {
	f := p.parts[strings.ToLower(part)]
	if f == nil {
		return nil, &Error{File: p.name, What: fmt.Sprintf("the package has no file %s, which it needs", quoteWord(part)), Do: doAgain}
	}
	if f.Flags&1 != 0 {
		return nil, &Error{File: p.name, Place: f.Name, What: "is encrypted", Do: doPlain}
	}
	if f.Method != zip.Store && f.Method != zip.Deflate {
		return nil, &Error{File: p.name, Place: f.Name, What: fmt.Sprintf("is packed by method %d; a package may use only stored and deflated", f.Method), Do: doPlain}
	}
	rc, err := f.Open()
	if err != nil {
		return nil, &Error{File: p.name, Place: f.Name, What: "cannot be unpacked", Do: doAgain, Err: err}
	}
	r := &partReader{p: p, f: f, src: rc, token: p.o.TokenBytes}
	r.buf = bufio.NewReaderSize(countedReader{r}, 1<<16)
	return r, nil
}

// partReader reads one part, byte by byte for encoding/xml, and stops at the
// limits of the package and of a token.
type partReader struct {
	p     *opc
	f     *zip.File
	src   io.ReadCloser
	buf   *bufio.Reader
	read  int64 // bytes expanded
	token int64 // bytes left for the token at hand
}

// ratioFrom is the expanded size from which the ratio counts: small parts of
// blanks may pack very well and do no harm.
const ratioFrom = 1 << 20

type countedReader struct{ r *partReader }

func (c countedReader) Read(b []byte) (int, error) {
	r := c.r
	n, err := r.src.Read(b)
	r.read += int64(n)
	r.p.left -= int64(n)
	switch {
	case r.p.left < 0:
		return 0, r.fault(fmt.Sprintf("the package unpacks to more than the limit of %d bytes", r.p.o.Expanded), doSmaller)
	case r.read > ratioFrom && r.read/r.p.o.Ratio > int64(r.f.CompressedSize64):
		return 0, r.fault(fmt.Sprintf("unpacks to more than %d times its size, as no mesh does: this looks like a zip bomb", r.p.o.Ratio), "do not open this file")
	case err != nil && !errors.Is(err, io.EOF):
		return n, &Error{File: r.p.name, Place: r.f.Name, What: "cannot be unpacked: it is cut short or damaged", Do: doAgain, Err: err}
	}
	return n, err
}

func (r *partReader) fault(what, do string) error {
	return &Error{File: r.p.name, Place: r.f.Name, What: what, Do: do}
}

// Read reads; encoding/xml calls ReadByte instead.
func (r *partReader) Read(b []byte) (int, error) { return r.buf.Read(b) }

// ReadByte reads one byte of the token at hand.
func (r *partReader) ReadByte() (byte, error) {
	if r.token--; r.token < 0 {
		return 0, r.fault(fmt.Sprintf("a tag or text of more than %d bytes", r.p.o.TokenBytes), doAgain)
	}
	return r.buf.ReadByte()
}

func (r *partReader) nextToken() { r.token = r.p.o.TokenBytes }

func (r *partReader) close() { _ = r.src.Close() } // reading only: the checksum is tested at the end of the data
