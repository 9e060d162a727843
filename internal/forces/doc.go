// Package forces and the packages below it say what forces do to a box in the
// hand: pure functions of data, none of which moves a part or reads a file.
//
//	forces           intervals, answers, constants
//	forces/mass      mass, centre and inertia from meshes
//	forces/friction  friction of materials, as intervals
//	forces/screw     torque of a helix, self-holding
//	forces/load      what tilting, shaking, spinning and knocking set free
//	forces/magnet    force, field and poles of magnets
//	forces/strength  sections, walls, what breaks first, what hands can do
//	forces/caution   words of warning
//
// Units are mm, radians, N, N mm, MPa, kg, T, and m/s2 for accelerations (a
// force in N is kg times m/s2). What is uncertain is an Interval that holds the
// true value as far as the sources named beside it reach; an answer drawn from
// intervals is Yes, No or Maybe. Strength and handling are estimates: no load
// test and no approval is replaced by them.
package forces
