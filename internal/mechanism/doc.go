// Package mechanism is the data of a design: parts, their drawn shapes and
// travels, the start, the goal, the steps. It is what the design file says,
// with nothing computed from it but where a part stands at a configuration.
//
// All parts are drawn in one frame of coordinates, the assembly's, in the place
// they take when every travel is 0. Lengths are mm and angles radians; a travel
// limit that is open is an infinity. A Mechanism is not changed once loaded.
package mechanism
