// Package meshfile reads and writes files of triangles: STL (text and binary)
// and 3MF are read; STL, 3MF and GLB (glTF 2.0 binary) are written.
//
// Reading trusts nothing: sizes, counts, compression and nesting are limited
// before memory is taken, and every fault is an Error that names the file, the
// place in it, what is wrong and what to do. A file that can be read but whose
// triangles bound no solid (holes, flipped or crossing faces) is no fault here;
// package mesh tells those. Places are never
// changed; corners that agree to the last bit share a vertex. Meshes are in mm.
//
// Writing is deterministic: the same input gives the same bytes, and dates come
// from the caller. The package opens no file; it works on bytes.
package meshfile
