// Package mass gives mass, centre of mass and inertia of bodies from their
// meshes, for solid pieces and for prints of walls and infill.
package mass
