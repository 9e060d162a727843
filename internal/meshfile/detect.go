package meshfile

import (
	"bytes"
	"fmt"
	"io"

	"feint/internal/geom"
)

type vec = geom.Vec

// ReadFrom is Read of a stream, of which it takes no more than o.Bytes and one
// byte. An error of r comes wrapped.
func ReadFrom(name string, r io.Reader, o Limits) (*File, error) {
	o = o.filled()
	data, err := io.ReadAll(io.LimitReader(r, o.Bytes+1))
	if err != nil {
		return nil, &Error{File: name, What: "it cannot be read", Err: err}
	}
	if int64(len(data)) > o.Bytes {
		return nil, &Error{File: name, What: fmt.Sprintf("the file has more than the %d bytes that are read", o.Bytes), Do: doSmaller}
	}
	return Read(name, data, o)
}

// Read reads the file called name (used in messages only) from its bytes. What
// it is is told from the bytes, not from the name. Errors are of type *Error.
func Read(name string, data []byte, o Limits) (*File, error) {
	o = o.filled()
	if len(data) == 0 {
		return nil, &Error{File: name, What: "the file is empty", Do: doAgain}
	}
	if int64(len(data)) > o.Bytes {
		return nil, &Error{
			File: name, What: fmt.Sprintf("the file has %d bytes, the limit is %d", len(data), o.Bytes), Do: doSmaller,
		}
	}
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")), bytes.HasPrefix(data, []byte("PK\x05\x06")):
		return read3MF(name, data, o)
	case isBinarySTL(data):
		return readBinarySTL(name, data, o)
	case looksTextSTL(data):
		return readTextSTL(name, data, o)
	}
	return nil, unknownFile(name, data)
}

// isBinarySTL holds the count against the size: the word "solid" at the start
// proves nothing, since many programs begin a binary header with it. The test
// cannot mistake a text file: four printable characters make a count of at least
// 0x20202020 = 538 million triangles, 27 GB.
func isBinarySTL(data []byte) bool {
	return len(data) >= stlHead && int64(len(data)) == stlHead+stlRecord*int64(stlCount(data))
}

// looksTextSTL wants the word "solid" first and no control characters near the start.
func looksTextSTL(data []byte) bool {
	head := skipBOM(data)
	head = head[:min(len(head), 512)]
	for _, c := range head {
		if c < ' ' && c != '\t' && c != '\r' && c != '\n' && c != '\f' {
			return false
		}
	}
	f := bytes.Fields(head)
	return len(f) > 0 && bytes.EqualFold(f[0], []byte("solid"))
}

func skipBOM(data []byte) []byte { return bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) }

// unknownFile says what data is if it is a file that people confuse with a mesh
// file, else how its size belies its triangle count.
func unknownFile(name string, data []byte) error {
	known := []struct{ magic, is string }{
		{"glTF", "a GLB (glTF) file"},
		{"ply", "a PLY file"},
		{"OFF", "an OFF file"},
		{"ISO-10303", "a STEP file"},
		{"\x1f\x8b", "a gzip file"},
		{"\x89PNG", "a picture (PNG)"},
		{"\xff\xd8\xff", "a picture (JPEG)"},
		{"%PDF", "a PDF file"},
		{"<", "an XML or HTML file, not packed as 3MF"},
		{"version https://git-lfs", "a Git LFS pointer, not the file itself"},
	}
	text := bytes.TrimLeft(skipBOM(data), " \t\r\n")
	for _, k := range known {
		if bytes.HasPrefix(text, []byte(k.magic)) {
			return &Error{File: name, What: "this is " + k.is, Do: "feint reads STL and 3MF; export the part as one of these"}
		}
	}
	if len(data) < stlHead {
		return &Error{
			File: name, What: fmt.Sprintf("not a mesh file: %d bytes, neither 3MF nor text STL, and a binary STL has at least %d", len(data), stlHead),
			Do: "feint reads STL and 3MF; check that this is the right file",
		}
	}
	return lyingCount(name, data)
}

func lyingCount(name string, data []byte) error {
	n := int64(stlCount(data))
	want, have := stlHead+stlRecord*n, int64(len(data))
	e := &Error{File: name, Place: "triangle count (byte 80)", Do: doAgain + "; if it is no STL or 3MF file at all, export it as one"}
	room := (have - stlHead) / stlRecord
	if have < want {
		e.What = fmt.Sprintf("read as binary STL, the header promises %d triangles (%d bytes), but the file has %d bytes, room for %d: it is cut short, or the count is wrong",
			n, want, have, room)
	} else {
		e.What = fmt.Sprintf("read as binary STL, the header promises %d triangles (%d bytes), but the file has %d bytes, room for %d: the count is wrong, or something else follows",
			n, want, have, room)
	}
	return e
}
