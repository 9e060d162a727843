// Package hands answers what a box does that is held, turned and shaken: where
// parts are pushed, fall and spring back, and so cannot go wherever they would fit.
//
// A Board is the bare question, a law of motion on a space of interval decision
// diagrams, without geometry:
//
//   - A situation is a configuration together with the attitude of the box, one
//     level of the space. It is at rest if no drive (weight, spring, magnet) surely
//     carries a travel one unit on.
//   - A move of the hand leads one part unit by unit through situations at rest.
//     What stands in its way and yields is pushed, and stays where it is left;
//     after every unit what is no longer held falls. The hand is slow: nothing is
//     outrun.
//   - Turning the box to a neighbouring attitude, and putting a tool elsewhere, are
//     moves too.
//
// What is known of the clearances has two sides, so the law has two readings.
// Generously (Firm within Free) a situation counts as free if it may be, a part is
// pushed if it may be touched and is left anywhere between the first place that may
// be free and the first that surely is, and a part falls if it may: what cannot be
// reached so cannot be reached. Strictly Firm equals Free, all in doubt is blocked,
// and a way found is one of a box whose parts are a little fatter than drawn. Ways are
// replayed by package proof on the bodies as they are (proof.Led), and of an answer "no"
// that hands which reach everything would not give (Result.Noes) it checks that what was
// reached is closed (proof.LawClosed, proof.LawFits).
//
// Every operator has its inverse, so that ways can be walked back, and situations
// from which no way leads to the goal be told.
//
// The package computes no distance, no force and no drawing.
package hands
