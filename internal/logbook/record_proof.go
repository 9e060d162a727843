package logbook

import "time"

// Proof is what was proved of one content hash over one range of growths: the
// figures by which revisions are compared and standing checks judged. A limit
// has two ends, between which it is known to lie; a nil lower end says that it lies
// below the growths searched, a nil upper end above them, and both nil that
// there is none.
type Proof struct {
	ID         ID        `json:"id"`
	SHA256     string    `json:"sha256"`
	At         time.Time `json:"at"`
	Version    string    `json:"version"` // of feint
	GrowthLo   float64   `json:"growth_lo_mm"`
	GrowthHi   float64   `json:"growth_hi_mm"`
	Verdict    string    `json:"verdict"`
	Certified  bool      `json:"certified"`
	Moves      *int      `json:"moves"`
	MovesLeast *int      `json:"moves_least"`
	Strokes    *int      `json:"strokes"`
	LeakLo     *float64  `json:"leak_lo_mm"`
	LeakHi     *float64  `json:"leak_hi_mm"`
	PlayLo     *float64  `json:"leak_with_play_lo_mm"`
	PlayHi     *float64  `json:"leak_with_play_hi_mm"`
	BindLo     *float64  `json:"bind_lo_mm"`
	BindHi     *float64  `json:"bind_hi_mm"`
	Grams      *float64  `json:"grams"`   // by feint's estimate, of the whole box
	Minutes    *float64  `json:"minutes"` // by feint's estimate
	Parts      []string  `json:"parts"`
	Steps      []string  `json:"steps"`
	Way        []WayMove `json:"way"`
	Found      []Found   `json:"found"`
}

// WayMove is one move of the shortest way as drawn.
type WayMove struct {
	Part      string   `json:"part"`
	Against   string   `json:"against"`      // the part it is least clear of, "" if none
	Clearance *float64 `json:"clearance_mm"` // certified lower bound along the move
	Words     string   `json:"words"`        // what to do
}

// Found is one finding of a proof.
type Found struct {
	Rule     string   `json:"rule"`
	Severity string   `json:"severity"`
	Parts    []string `json:"parts"`
	Step     string   `json:"step"`
	Margin   *float64 `json:"margin"`
	Unit     string   `json:"unit"`
	Message  string   `json:"message"`
}

// Yield is a yield foretold for one content hash on one printer.
type Yield struct {
	ID      ID        `json:"id"`
	SHA256  string    `json:"sha256"`
	At      time.Time `json:"at"`
	Printer ID        `json:"printer"` // 0: the unknown printer
	Nozzle  ID        `json:"nozzle"`
	Spool   ID        `json:"spool"`
	Profile ID        `json:"profile"`
	Setting string    `json:"setting"` // the printer's setting by name; "" is the unknown printer
	Seed    int       `json:"seed"`
	Prints  int       `json:"prints"` // virtual prints drawn
	Work    int       `json:"work"`
	Bind    int       `json:"bind"`
	Leak    int       `json:"leak"`
	Unknown int       `json:"unknown"`
	Worst   string    `json:"worst"` // what causes most failures
}
