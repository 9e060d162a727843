// Package export turns results into what leaves the program: words on a
// terminal, the JSON document of the contract, the report, and model files
// (STL, 3MF, GLB) of the parts, of plates, of the assembled view and of the
// cut-away.
//
// Every output is a function from values to bytes: same input, same bytes; no
// clock, no network. Lengths are mm and angles degrees in all of them. Only
// WriteFiles and WriteModels touch the disk, and they leave nothing half written
// and replace only files that an earlier export wrote.
package export
