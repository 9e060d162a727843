package printed

// UnknownName is what the published default is called.
const UnknownName = "unknown printer"

// Unknown is the model of a printer of which nothing is known: a stranger's. Its
// spread between prints is that between printers.
//
// Measured with fused filament: root mean square deviation of the surface 0.16 mm
// against the drawing and 0.05 mm from print to print (Msallem et al., J. Clin.
// Med. 9 (2020) 817, PMC7141211; mandibles); lengths off by 0.26 mm on average,
// 0.71 %, the worst by 0.89 mm (PMC9156585; anatomical models), which is 0.13 mm a
// surface on average and so 0.16 mm root mean square if it is normal. The numbers
// below give a wall 20 mm from the middle of a part 0.16 mm of root mean square
// growth (TestUnknownAgreesWithMeasurements).
//
// Common practice without a source: upright holes come out 0.1 to 0.3 mm small
// across, the first layers flare by 0.1 to 0.2 mm. Guesses, said to be such: seam,
// oval, give, wear.
func Unknown() *Model {
	m := &Model{
		Name: UnknownName, Printer: UnknownName,
		Source: "PMC7141211 and PMC9156585 (fused filament, anatomical models); bores and flare: common practice; seam, oval, give, wear: guesses",
		Layer:  0.2, FirstLayer: 0.2, FlareHeight: 0.4,
		Shrink: map[string]Amount{"": {Mean: 0.002, Prints: 0.003}},
	}
	m.Amounts = [Effects]Amount{
		InPlane:   {Mean: 0.04, Prints: 0.14, Features: 0.05},
		Bore:      {Mean: 0.03, Prints: 0.02},
		BoreSmall: {Mean: 0.2, Prints: 0.1},
		PegSmall:  {Prints: 0.1},
		Height:    {Mean: 0.02, Prints: 0.06, Features: 0.04},
		Flare:     {Mean: 0.15, Prints: 0.05, Features: 0.02},
		Seam:      {Mean: 0.05, Prints: 0.03, Features: 0.02},
		Oval:      {Mean: 0.03, Prints: 0.02, Features: 0.01},
		Give:      {Mean: 0.01, Prints: 0.005},
		Wear:      {Mean: 0.02, Prints: 0.01},
	}
	return m
}
