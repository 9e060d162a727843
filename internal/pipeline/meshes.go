package pipeline

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/gob"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"math"
	"os"
	"path/filepath"
	"sync"

	"feint/internal/cache"
	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/meshfile"
	"feint/internal/solid"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"
)

// solidVersion changes whenever the same drawing may give another mesh.
const solidVersion = "solid 4"

// Body is the mesh of one part with what was found wrong with it.
type Body struct {
	Mesh    *mesh.Mesh
	Defects []mesh.Defect
	Hash    string // of the triangles

	key   string // under which it is kept
	tree  func() *mesh.Tree
	clear func() (*clearance.Body, error)
}

// Tree is the tree of the mesh, made when it is first asked for.
func (b *Body) Tree() *mesh.Tree { return b.tree() }

// Clearance is the body with which its clearances are measured, made when it is first
// asked for.
func (b *Body) Clearance() (*clearance.Body, error) { return b.clear() }

// keptAs notes the key and readies what is made of the mesh.
func (b *Body) keptAs(key string) {
	m := b.Mesh
	b.key, b.tree = key, sync.OnceValue(func() *mesh.Tree { return mesh.NewTree(m) })
	b.clear = sync.OnceValues(func() (*clearance.Body, error) { return clearance.NewBody(m) })
}

// Sound tells whether the mesh bounds a solid, so that clearances mean something.
func (b *Body) Sound() bool {
	for i := range b.Defects {
		if !b.Defects[i].Harmless {
			return false
		}
	}
	return len(b.Mesh.T) > 0
}

// bodies builds and checks the mesh of every part.
func bodies(ctx context.Context, m *mechanism.Mechanism, o Options) ([]Body, error) {
	out := make([]Body, len(m.Parts))
	errs := make([]error, len(m.Parts))
	load := newLoader()
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(o.workers())
	var mu sync.Mutex
	done := 0
	for i := range m.Parts {
		g.Go(func() error {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			out[i], errs[i] = body(ctx, &m.Parts[i], m.Tolerance, o, load)
			if errors.Is(errs[i], mesh.ErrStopped) {
				return context.Cause(ctx)
			}
			mu.Lock()
			defer mu.Unlock()
			done++
			o.progress("solids", done, len(m.Parts))
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	return out, errors.Join(errs...)
}

func body(ctx context.Context, p *mechanism.Part, tol float64, o Options, load solid.Loader) (Body, error) {
	key := cache.Key(solidVersion, shapeKey(p.Shape), fmt.Sprint(tol))
	if b, ok := keptBody(key, o); ok {
		return b, nil
	}
	m, err := solid.Build(p.Shape, solid.Options{Tolerance: tol, Workers: o.workers(), Load: load, Stop: ctx.Done()})
	if err != nil {
		return Body{}, fmt.Errorf("part %q: %w", p.Name, err)
	}
	b := Body{Mesh: m, Defects: faults(m), Hash: meshHash(m)}
	b.keptAs(key)
	var buf bytes.Buffer
	if err := gob.NewEncoder(&buf).Encode(&b); err == nil {
		// a cache that cannot be written costs time, not correctness.
		_ = o.Cache.Put(key, buf.Bytes())
	}
	return o.Hot.keep(b), nil
}

// faults are the defects of a mesh. Where four triangles or more meet at an edge it is
// no doubt what is inside, but which of them go on into which is left open: clearances
// are not measured there.
func faults(m *mesh.Mesh) []mesh.Defect {
	ds := mesh.Check(m)
	for i := range ds {
		if ds[i].Kind == mesh.NonManifoldEdge {
			ds[i].Harmless = false
		}
	}
	return ds
}

// keptBody takes a body from memory or from the cache.
func keptBody(key string, o Options) (Body, bool) {
	if b, ok := o.Hot.get(key); ok {
		return b, true
	}
	var b Body
	raw, ok := o.Cache.Get(key)
	if !ok || gob.NewDecoder(bytes.NewReader(raw)).Decode(&b) != nil {
		return Body{}, false
	}
	b.keptAs(key)
	return o.Hot.keep(b), true
}

// newLoader reads mesh files, each once.
func newLoader() solid.Loader {
	type read struct {
		once sync.Once
		file *meshfile.File
		err  error
	}
	var mu sync.Mutex
	files := map[string]*read{}
	return func(f mechanism.MeshFile) (*mesh.Mesh, error) {
		mu.Lock()
		r, ok := files[f.Path]
		if !ok {
			r = &read{}
			files[f.Path] = r
		}
		mu.Unlock()
		r.once.Do(func() {
			r.file, r.err = readMesh(f, meshfile.Limits{})
		})
		if r.err != nil {
			return nil, r.err
		}
		return pick(r.file, f)
	}
}

// readMesh reads a mesh file, no further than the limit goes. The file must be the
// one that the design was read with: its hash is what its meshes are kept by.
func readMesh(f mechanism.MeshFile, o meshfile.Limits) (*meshfile.File, error) {
	file, err := os.Open(f.Path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name, err)
	}
	defer func() { _ = file.Close() }() // only read
	h := sha256.New()
	out, err := meshfile.ReadFrom(filepath.Base(f.Path), io.TeeReader(file, h), o)
	if err != nil {
		return nil, err
	}
	if hex.EncodeToString(h.Sum(nil)) != f.SHA256 {
		return nil, fmt.Errorf("%s: the file changed while the design was being read; run feint again", f.Name)
	}
	return out, nil
}

// pick takes the objects of a file that the design asks for, scaled to mm.
func pick(file *meshfile.File, f mechanism.MeshFile) (*mesh.Mesh, error) {
	m, err := file.Take(f.Object)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name, err)
	}
	if f.Scale == 1 {
		return m, nil
	}
	out := &mesh.Mesh{V: make([]geom.Vec, len(m.V)), T: m.T}
	for i, v := range m.V {
		out.V[i] = r3.Scale(f.Scale, v)
	}
	return out, nil
}

// shapeKey is the hash of a drawing: equal for equal drawings wherever in the
// file they stand, different for different ones.
func shapeKey(s *mechanism.Shape) string {
	h := sha256.New()
	writeShape(h, s)
	return hex.EncodeToString(h.Sum(nil))
}

func writeShape(h hash.Hash, s *mechanism.Shape) {
	fmt.Fprintf(h, "(%d %v %v", s.Op, s.Move, s.Plane)
	if f, ok := s.Prim.(mechanism.MeshFile); ok {
		fmt.Fprintf(h, " file %s %q %v", f.SHA256, f.Object, f.Scale)
	} else if s.Prim != nil {
		fmt.Fprintf(h, " %T%+v", s.Prim, s.Prim)
	}
	for _, a := range s.Args {
		writeShape(h, a)
	}
	_, _ = io.WriteString(h, ")")
}

func meshHash(m *mesh.Mesh) string {
	h := sha256.New()
	var b []byte
	for _, v := range m.V {
		for _, x := range [3]float64{v.X, v.Y, v.Z} {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
		b = flush(h, b)
	}
	b = append(b, "faces"...)
	for _, t := range m.T {
		for _, x := range t {
			b = binary.LittleEndian.AppendUint32(b, uint32(x))
		}
		b = flush(h, b)
	}
	h.Write(b)
	return hex.EncodeToString(h.Sum(nil))
}

func flush(h hash.Hash, b []byte) []byte {
	if len(b) < 1<<15 {
		return b
	}
	h.Write(b)
	return b[:0]
}
