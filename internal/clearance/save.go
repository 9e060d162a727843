package clearance

import (
	"bufio"
	"compress/flate"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// magic opens a saved map.
const magic = "feint clearance map\n"

// maxLevel is the most often an axis is divided: far beyond any width, and small
// enough that k/2^n is exact and a corrupt file cannot run deep.
const maxLevel = 48

var errCorrupt = errors.New("clearance: the saved map is damaged")

// Save writes what is known, to be read by Load with the same mechanism, parts
// and meshes; a cache keeps it under Key and the content of the meshes.
func (m *Map) Save(w io.Writer) error {
	z, err := flate.NewWriter(w, flate.BestSpeed)
	if err != nil {
		return err
	}
	s := &saver{w: bufio.NewWriter(z), number: map[*proof]uint64{}}
	_, _ = s.w.WriteString(magic)
	s.uint(Version)
	s.uint(uint64(len(m.chain.coords)))
	s.asked(m.asked)
	s.asked(m.inherited)
	s.float(m.worn)
	s.collect(&m.root)
	s.uint(uint64(len(s.proofs)))
	for _, p := range s.proofs {
		s.bool(p.onA)
		s.float(p.p.X)
		s.float(p.p.Y)
		s.float(p.p.Z)
	}
	s.cell(&m.root)
	if err := s.w.Flush(); err != nil {
		return fmt.Errorf("clearance: saving a map: %w", err)
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("clearance: saving a map: %w", err)
	}
	return nil
}

// saver writes; errors stick to the bufio.Writer and show at Flush.
type saver struct {
	w      *bufio.Writer
	number map[*proof]uint64 // from 1
	proofs []*proof
}

func (s *saver) asked(list []asked) {
	s.uint(uint64(len(list)))
	for _, a := range list {
		s.float(a.need)
		s.float(a.width)
	}
}

func (s *saver) uint(x uint64) { _, _ = s.w.Write(binary.AppendUvarint(nil, x)) }

func (s *saver) float(x float64) {
	_, _ = s.w.Write(binary.LittleEndian.AppendUint64(nil, math.Float64bits(x)))
}

func (s *saver) bool(b bool) {
	var x uint64
	if b {
		x = 1
	}
	s.uint(x)
}

// collect numbers the proofs of the leaves in order.
func (s *saver) collect(c *cell) {
	if c.kids != nil {
		s.collect(&c.kids[0])
		s.collect(&c.kids[1])
		return
	}
	if c.proof != nil && s.number[c.proof] == 0 {
		s.proofs = append(s.proofs, c.proof)
		s.number[c.proof] = uint64(len(s.proofs))
	}
}

func (s *saver) cell(c *cell) {
	if c.kids != nil {
		s.uint(uint64(c.axis) + 1)
		s.cell(&c.kids[0])
		s.cell(&c.kids[1])
		return
	}
	s.uint(0)
	s.bool(c.fresh)
	s.float(c.lower)
	s.float(c.upper)
	s.uint(s.number[c.proof])
}

// Load reads a map written by Save for the same parts of the same mechanism with
// the same meshes. It fails on damaged data and on another Version.
func Load(r io.Reader, m *mechanism.Mechanism, a, b int, bodyA, bodyB *Body) (*Map, error) {
	o, err := New(m, a, b, bodyA, bodyB)
	if err != nil {
		return nil, err
	}
	l := &loader{r: bufio.NewReader(flate.NewReader(r)), coords: o.chain.coords}
	head := make([]byte, len(magic))
	if _, err := io.ReadFull(l.r, head); err != nil || string(head) != magic {
		return nil, errCorrupt
	}
	if v := l.uint(math.MaxUint64); l.err == nil && v != Version {
		return nil, fmt.Errorf("clearance: the saved map is of version %d, not %d", v, Version)
	}
	if n := l.uint(MaxCoords); l.err == nil && n != uint64(len(o.chain.coords)) {
		return nil, fmt.Errorf("clearance: the saved map has %d coordinates, not %d", n, len(o.chain.coords))
	}
	o.asked, o.inherited, o.worn = l.asked(), l.asked(), l.float()
	n := l.uint(1 << 32)
	for i := uint64(0); i < n && l.err == nil; i++ {
		p := &proof{onA: l.uint(1) == 1}
		p.p = geom.Vec{X: l.float(), Y: l.float(), Z: l.float()}
		l.proofs = append(l.proofs, p)
	}
	l.cell(&o.root, whole())
	if _, err := l.r.ReadByte(); l.err == nil && !errors.Is(err, io.EOF) {
		l.err = errCorrupt
	}
	if l.err != nil {
		return nil, l.err
	}
	return o, nil
}

// loader reads; the first error sticks.
type loader struct {
	r      *bufio.Reader
	coords []Coord
	proofs []*proof
	err    error
}

func (l *loader) asked() []asked {
	var m Map
	for n := l.uint(1 << 20); n > 0 && l.err == nil; n-- {
		need, width := l.float(), l.float()
		if l.err == nil && (!(width > 0) || math.IsInf(need, 0)) {
			l.err = errCorrupt
			break
		}
		m.learn(need, width)
	}
	return m.asked
}

func (l *loader) uint(limit uint64) uint64 {
	x, err := binary.ReadUvarint(l.r)
	if l.err == nil && (err != nil || x > limit) {
		l.err = errCorrupt
	}
	if l.err != nil {
		return 0
	}
	return x
}

func (l *loader) float() float64 {
	var b [8]byte
	if _, err := io.ReadFull(l.r, b[:]); err != nil && l.err == nil {
		l.err = errCorrupt
	}
	x := math.Float64frombits(binary.LittleEndian.Uint64(b[:]))
	if math.IsNaN(x) && l.err == nil {
		l.err = errCorrupt
	}
	return x
}

func (l *loader) cell(c *cell, d dyadic) {
	axis := int(l.uint(uint64(len(l.coords)))) - 1
	if l.err != nil {
		return
	}
	if axis >= 0 {
		if d.n[axis] >= maxLevel {
			l.err = errCorrupt
			return
		}
		c.axis, c.kids = int8(axis), &[2]cell{}
		l.cell(&c.kids[0], d.half(c.axis, 0))
		l.cell(&c.kids[1], d.half(c.axis, 1))
		c.digest()
		return
	}
	c.fresh = l.uint(1) == 1
	c.lower, c.upper = l.float(), l.float()
	if n := l.uint(uint64(len(l.proofs))); n > 0 && l.err == nil {
		c.proof = l.proofs[n-1]
	}
	if (c.proof == nil) != math.IsInf(c.upper, 1) && l.err == nil {
		l.err = errCorrupt
	}
}

// digest sets the bounds of a divided cell from its halves.
func (c *cell) digest() {
	c.lower = min(c.kids[0].lower, c.kids[1].lower)
	c.upper = max(c.kids[0].upper, c.kids[1].upper)
	c.proof = nil
}
