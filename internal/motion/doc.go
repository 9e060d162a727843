// Package motion answers what the parts can do: whether the goal is reached, in
// how few moves, which steps every way must take, and at which growths the
// mechanism binds and leaks.
//
// Sets of configurations are interval decision diagrams; every question is asked
// strictly (undecided cells blocked) and generously (undecided cells free).
// "Yes" rests on the strict reading, "no" on the generous one, and where the two
// disagree the answer is Undecided. The package computes no distance itself.
package motion
