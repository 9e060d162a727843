// Package yield foretells how many copies of a design will work on a printer.
//
// Virtual prints are drawn from a model of the printed surface (package printed).
// The faces with which two parts meet say in which direction each part's growth
// counts for the pair (Contacts), so that a print becomes a list of clearances
// that the pairs need, which motion.Judge answers for. The package counts, gives
// every share an interval, and finds for each fault the pair whose least change
// cures it.
//
// Every print is judged thrice: with the likely growth of each pair, and with the
// least and the greatest growth of any of its faces, which bound the answer
// whichever face decides. The same seed gives the same bytes.
//
// Where more than the hand moves parts no order of needs may be taken for granted: each
// print is judged by itself (Directed).
package yield
