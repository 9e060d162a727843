package meshfile

import (
	"errors"
	"io"
	"testing"
	"testing/iotest"
)

// counted is an endless stream that counts what is taken from it.
type counted struct{ taken int64 }

func (c *counted) Read(p []byte) (int, error) {
	c.taken += int64(len(p))
	return len(p), nil
}

// An endless file is refused after the limit, not read to its end.
func TestReadFromEndless(t *testing.T) {
	c := &counted{}
	var e *Error
	if _, err := ReadFrom("a.stl", c, Limits{Bytes: 1 << 16}); !errors.As(err, &e) || e.Do == "" {
		t.Errorf("got %v", err)
	}
	if c.taken > 1<<16+1 {
		t.Errorf("%d bytes taken, the limit is %d", c.taken, 1<<16)
	}
}

func TestReadFromFails(t *testing.T) {
	if _, err := ReadFrom("a.stl", iotest.ErrReader(io.ErrUnexpectedEOF), Limits{}); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("got %v", err)
	}
}
