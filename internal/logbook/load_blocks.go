package logbook

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"errors"
	"io"
	"runtime"
)

// blockBytes is about how much of a dump is read by one processor at a time.
const blockBytes = 1 << 18

// block is some lines of a dump.
type block struct {
	raw   []byte
	first int // the number of its first line
	lines int
	err   error // of reading the file
	read  chan parsed
}

// parsed is what the lines of a block say.
type parsed struct {
	side   *side
	number int // of the line that was read last
	upTo   int // how many bytes were read, without the last line of the dump
	end    *lastLine
	err    error
}

// blocks reads all lines but the first into s, on all processors. l is where the first
// one was read.
func (s *side) blocks(l *loader, in *bufio.Reader) error {
	n := runtime.GOMAXPROCS(0)
	work, inOrder, stop := make(chan *block), make(chan *block, 2*n), make(chan struct{})
	defer close(stop)
	go cutBlocks(in, l.number+1, work, inOrder, stop)
	for range n {
		own := *l
		own.adds, own.last = map[string]*shape{}, map[string]*shape{}
		go func() {
			for b := range work {
				b.read <- own.block(b, s.forms)
			}
		}()
	}
	ended := false
	for b := range inOrder {
		var p parsed
		select {
		case p = <-b.read:
		case <-l.ctx.Done():
			return l.ctx.Err()
		}
		l.number = p.number
		if ended && len(b.raw) > 0 {
			return errors.New("something follows the last line")
		}
		if p.err != nil {
			return p.err
		}
		l.sum.Write(b.raw[:p.upTo])
		for t, rows := range p.side.rows {
			s.rows[t] = append(s.rows[t], rows...)
		}
		if p.end == nil {
			continue
		}
		ended = true
		if p.end.sum != hex.EncodeToString(l.sum.Sum(nil)) {
			return errOther
		}
		if p.upTo+p.end.bytes < len(b.raw) {
			return errors.New("something follows the last line")
		}
	}
	if !ended {
		l.number++
		return errEarly
	}
	return nil
}

// cutBlocks reads the file and hands its lines on.
func cutBlocks(in *bufio.Reader, line int, work, inOrder chan<- *block, stop <-chan struct{}) {
	defer close(work)
	defer close(inOrder)
	for {
		raw := make([]byte, blockBytes)
		n, err := io.ReadFull(in, raw)
		raw = raw[:n]
		if err == nil && raw[n-1] != '\n' {
			var rest []byte
			rest, err = in.ReadBytes('\n')
			raw = append(raw, rest...)
		}
		last := err != nil
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			err = nil
		}
		b := &block{raw: raw, first: line, lines: bytes.Count(raw, []byte{'\n'}), err: err, read: make(chan parsed, 1)}
		for _, to := range []chan<- *block{inOrder, work} {
			select {
			case to <- b:
			case <-stop:
				return
			}
		}
		if last {
			return
		}
		line += b.lines
	}
}

// block reads the lines of a block.
func (l *loader) block(b *block, forms map[string]*form) (p parsed) {
	p.side = newSide(forms)
	l.keep = p.side.keep(l)
	l.number = b.first - 1
	for rest := b.raw; len(rest) > 0; {
		end := bytes.IndexByte(rest, '\n') + 1
		if end == 0 {
			end = len(rest)
		}
		l.number++
		err := l.line(rest[:end])
		if errors.As(err, &p.end) {
			p.end.bytes = end
			break
		}
		if err != nil {
			p.err = err
			break
		}
		p.upTo += end
		rest = rest[end:]
	}
	p.number = l.number
	if p.err == nil {
		p.err = b.err
	}
	return p
}
