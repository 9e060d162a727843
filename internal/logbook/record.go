package logbook

import "time"

// ID names a row of one table; 0 is "none".
type ID int64

// Record is what a table holds; the types of this package that are listed here
// can be given to Add, Change, Drop, Get and All.
type Record interface {
	Printer | Nozzle | Spool | Profile | Design | Revision | Proof | Yield |
		Trial | TrialPart | Reading | Photo | Fault | Check | Solve
}

// Printer is a machine.
type Printer struct {
	ID      ID      `json:"id"`
	Name    string  `json:"name"` // unique, whatever its capitals
	BedX    float64 `json:"bed_x_mm"`
	BedY    float64 `json:"bed_y_mm"`
	Height  float64 `json:"height_mm"`
	Retired bool    `json:"retired"` // no longer offered; its trials stay
	Note    string  `json:"note"`
}

// Nozzle is a nozzle; the same bore on two printers may be one.
type Nozzle struct {
	ID       ID      `json:"id"`
	Name     string  `json:"name"` // unique: "0.4", "0.6 hardened"
	Diameter float64 `json:"diameter_mm"`
	Retired  bool    `json:"retired"`
	Note     string  `json:"note"`
}

// Spool is a spool of filament.
type Spool struct {
	ID       ID       `json:"id"`
	Name     string   `json:"name"`     // unique
	Material string   `json:"material"` // "PLA"
	Colour   string   `json:"colour"`
	Density  *float64 `json:"density_g_cm3"`
	Grams    *float64 `json:"grams"` // of filament when it was new
	Retired  bool     `json:"retired"`
	Note     string   `json:"note"`
}

// Profile is a set of print settings.
type Profile struct {
	ID       ID                `json:"id"`
	Name     string            `json:"name"` // unique
	Layer    *float64          `json:"layer_mm"`
	First    *float64          `json:"first_layer_mm"`
	Line     *float64          `json:"line_mm"`  // width of a line
	Settings map[string]string `json:"settings"` // whatever else matters, in the maker's words
	Retired  bool              `json:"retired"`
	Note     string            `json:"note"`
}

// Design is one box through all its revisions.
type Design struct {
	ID    ID     `json:"id"`
	Name  string `json:"name"` // unique: the name of the file without .star
	Title string `json:"title"`
	File  string `json:"file"` // relative to the workshop folder where it lies within, with slashes
}

// Revision is one state of a design that was printed or that the maker chose to
// keep. Two revisions of a design differ in their content hash.
type Revision struct {
	ID       ID                 `json:"id"`
	Design   ID                 `json:"design"`
	Number   int                `json:"number"` // 1, 2, 3 ... within the design
	SHA256   string             `json:"sha256"` // of the design, all it loads, and the params set
	At       time.Time          `json:"at"`
	Parent   ID                 `json:"parent"` // the revision it was made from
	Question string             `json:"question"`
	Note     string             `json:"note"`
	Params   map[string]float64 `json:"params"`
}

// Trial is one print of one revision.
type Trial struct {
	ID       ID                `json:"id"`
	Revision ID                `json:"revision"`
	At       time.Time         `json:"at"`
	Printer  ID                `json:"printer"`
	Nozzle   ID                `json:"nozzle"`
	Spool    ID                `json:"spool"`
	Profile  ID                `json:"profile"`
	Settings map[string]string `json:"settings"` // what differed from the profile
	Scale    float64           `json:"scale"`    // 1 as drawn
	Minutes  *float64          `json:"minutes"`
	Grams    *float64          `json:"grams"`
	Copies   int               `json:"copies"`
	Outcome  Outcome           `json:"outcome"` // empty until it is known
	Place    string            `json:"place"`   // where it binds or leaks
	Note     string            `json:"note"`
}

// TrialPart is a part that was printed in a trial. A trial without any printed
// the whole box.
type TrialPart struct {
	ID     ID     `json:"id"`
	Trial  ID     `json:"trial"`
	Part   string `json:"part"` // its name in the design
	Copies int    `json:"copies"`
	Note   string `json:"note"`
}

// Reading is one size measured, or one fit felt, on a print. Exactly one of
// Measured and Felt is given.
type Reading struct {
	ID       ID        `json:"id"`
	Trial    ID        `json:"trial"`
	At       time.Time `json:"at"`
	Kind     Feature   `json:"kind"`
	Feature  string    `json:"feature"` // "bore 12", "ring 3", the label on a gauge
	Axis     string    `json:"axis"`    // "x", "y", "z" as it lay on the plate; "" if not known
	Nominal  *float64  `json:"nominal_mm"`
	Gap      *float64  `json:"gap_mm"` // drawn, per side, of the pair that was felt
	Measured *float64  `json:"measured_mm"`
	// Uncertainty is the expanded uncertainty of Measured, mm: the half width of
	// the interval in which the maker trusts the size to lie with 95 % (coverage
	// factor 2; JCGM 100:2008, 6.2). Nil: not given.
	Uncertainty *float64 `json:"uncertainty_mm"`
	Felt        Felt     `json:"felt"`
	Note        string   `json:"note"`
}

// Photo is a picture; its bytes lie under their content hash (Book.PhotoFile,
// Book.ThumbFile). At most one of Trial, Fault and Revision is given.
type Photo struct {
	ID       ID        `json:"id"`
	Trial    ID        `json:"trial"`
	Fault    ID        `json:"fault"`
	Revision ID        `json:"revision"`
	At       time.Time `json:"at"` // of the entry
	SHA256   string    `json:"sha256"`
	Media    string    `json:"media"` // "image/jpeg", "image/png", "image/gif"
	Name     string    `json:"name"`  // of the file it was copied from
	Width    int       `json:"width"`
	Height   int       `json:"height"`
	Bytes    int       `json:"bytes"`
	Note     string    `json:"note"`
}

// Fault is something that went wrong with a print or a box.
type Fault struct {
	ID       ID        `json:"id"`
	Revision ID        `json:"revision"` // where it was seen
	Trial    ID        `json:"trial"`
	At       time.Time `json:"at"`
	Place    string    `json:"place"` // "ring 3"
	Parts    []string  `json:"parts"` // by their names in the design
	What     string    `json:"what"`  // "binds at half a turn"
	Rule     string    `json:"rule"`  // the rule or quantity that foretells it; see Check.Rule
	Margin   *float64  `json:"margin"`
	Unit     string    `json:"unit"`
	Cause    string    `json:"cause"`
	Cure     string    `json:"cure"`
	CuredIn  ID        `json:"cured_in"` // the revision that was free of it
}

// Check is a standing check: what must hold of every later revision of a design.
type Check struct {
	ID     ID     `json:"id"`
	Design ID     `json:"design"`
	Fault  ID     `json:"fault"` // what it came of
	Rule   string `json:"rule"`  // a quantity (Quantities) or the name of a rule of the verdict
	// Parts narrows the check to findings and clearances that concern all of them.
	Parts []string `json:"parts"`
	Step  string   `json:"step"`
	// AtLeast and AtMost bound a quantity, in Unit. For a rule AtLeast is the least
	// margin; nil is 0, which a rule that finds nothing keeps.
	AtLeast *float64  `json:"at_least"`
	AtMost  *float64  `json:"at_most"`
	Unit    string    `json:"unit"`
	At      time.Time `json:"at"`
	Rests   bool      `json:"rests"` // not asked at present
	Note    string    `json:"note"`
}

// Solve is one attempt of a person to open a box.
type Solve struct {
	ID       ID        `json:"id"`
	Revision ID        `json:"revision"`
	Trial    ID        `json:"trial"` // the copy in the hand, if known
	At       time.Time `json:"at"`
	Who      string    `json:"who"` // initials, four letters at most, or none
	Minutes  *float64  `json:"minutes"`
	GaveUp   bool      `json:"gave_up"`
	Hints    int       `json:"hints"`
	HintText string    `json:"hint_text"`
	Note     string    `json:"note"`
}
