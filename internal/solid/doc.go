// Package solid turns drawn shapes into closed triangle meshes, and the same
// drawings into signed distance fields that check the meshes.
//
// Every primitive is facetted within the tolerance of its drawn surface, with
// the drawn volume kept; the whole tree of a shape is then evaluated by one exact
// arrangement (package mesh), so that sharp edges stay sharp and thin walls stay.
// Surfaces about one axis share one division of the circle, so that walls that
// were drawn to meet do meet. A groove, a thread, a mark and a text are sweeps
// cut by a shell: the shell gives floor and crest, the sweeps the walls.
//
// A groove on a shaft or in a bore is what a round pin of the groove's width
// sweeps whose axis meets the axis of the shaft squarely and whose middle
// follows the path. So a run along z has plane walls parallel to the middle plane
// through the axis, a run round the axis has plane walls z = const, the walls of
// a helical run are the envelope of the pin, and round ends are cylinders that
// point at the axis. A round pin of diameter Width - 2 g, or a pin with parallel
// sides in a run along or around, has the gap g on both sides at every depth.
// A Roofed groove is what a pin sweeps that carries a 45-degree roof towards
// rising V: it keeps Width at the floor, and its mouth is wider by Depth.
//
// Corners of a path are round on their outside. The ends of marks and of letters'
// lines are square, those of grooves as the design says.
//
// The package reads no files; meshes from files come through a Loader.
package solid
