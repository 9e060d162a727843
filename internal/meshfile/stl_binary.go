package meshfile

import (
	"encoding/binary"
	"fmt"
	"math"
)

// A binary STL is a header of 80 bytes, a count of 4 and records of 50: normal
// and three corners as little-endian float32, then two bytes that belong to
// nobody (StereoLithography Interface Specification, 3D Systems, 1988).
const (
	stlHeader = 80
	stlHead   = 84
	stlRecord = 50
)

func stlCount(data []byte) uint32 { return binary.LittleEndian.Uint32(data[stlHeader:]) }

// readBinarySTL reads data whose size fits its count. The order of the corners
// tells the outside; the stored normals, which many programs leave zero, do not count.
func readBinarySTL(name string, data []byte, o Limits) (*File, error) {
	n := int(stlCount(data))
	if n == 0 {
		return nil, &Error{File: name, What: "the file has no triangle", Do: doAgain}
	}
	if n > o.Triangles {
		return nil, tooManyTriangles(name, "", int64(n), o)
	}
	w := newWelder(n)
	for i := range n {
		var c [3]vec
		for k := range c {
			at := stlHead + i*stlRecord + 12 + 12*k
			c[k] = vec{X: float32At(data, at), Y: float32At(data, at+4), Z: float32At(data, at+8)}
			if what := badPoint(c[k], o.Extent); what != "" {
				return nil, &Error{
					File: name, Place: fmt.Sprintf("triangle %d (byte %d)", i+1, at),
					What: fmt.Sprintf("corner %d %s", k+1, what), Do: doNumbers,
				}
			}
		}
		w.add(c)
	}
	return &File{Format: "binary STL", Objects: []Object{{Name: baseName(name), Mesh: w.m}}, Metadata: map[string]string{}}, nil
}

func float32At(data []byte, at int) float64 {
	return float64(math.Float32frombits(binary.LittleEndian.Uint32(data[at:])))
}

// badPoint tells in words what is wrong with a point, "" if nothing is.
func badPoint(p vec, extent float64) string {
	for _, x := range [3]float64{p.X, p.Y, p.Z} {
		switch {
		case math.IsNaN(x):
			return "is not a number"
		case math.IsInf(x, 0):
			return "is infinite"
		case math.Abs(x) > extent:
			return fmt.Sprintf("lies at %.6g mm, beyond the limit of %g", x, extent)
		}
	}
	return ""
}

func tooManyTriangles(name, place string, n int64, o Limits) error {
	return &Error{
		File: name, Place: place,
		What: fmt.Sprintf("%d triangles, the limit is %d", n, o.Triangles), Do: "export it with a coarser tolerance, or split it",
	}
}
