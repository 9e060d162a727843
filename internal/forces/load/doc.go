// Package load tells what handling sets free: which travels of a box run when it
// is tilted, shaken, spun or knocked, which way, and with how much room.
//
// A Travel is data about one travel in one configuration: the mass that moves
// with it, its axis, its guide, its friction, what else holds it. A Load is data
// about the handling. Frees answers for one travel and both ways; it knows
// nothing of walls, so a travel that is free may still be blocked. Everything is
// quasi-static but a knock, which is an exchange of energy.
//
// Answers are Yes (free for every value of the intervals), No (held for every
// value) and Maybe.
package load
